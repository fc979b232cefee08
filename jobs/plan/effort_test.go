package plan

import (
	"fmt"
	"math"
	"testing"
	"time"

	"wetside/chemistry"
)

// TestAFloorWithoutEffort gives the search nothing to spend: what it says of
// the fewest batches must be a bound all the same, and rolls need one at least.
func TestAFloorWithoutEffort(t *testing.T) {
	t.Parallel()
	start := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	in := Input{Start: start, Until: start.Add(8 * time.Hour), Lines: []Line{{
		ID: "drum", Processes: []chemistry.Process{chemistry.C41}, Capacity: 6,
		Takes: map[chemistry.Format]int{chemistry.Format135: 3}, TurnaroundS: 1500,
	}}}
	for i := range 5 {
		in.Rolls = append(in.Rolls, Roll{
			ID: fmt.Sprint(i), Process: chemistry.C41, Format: chemistry.Format135,
			DevelopS: Window{195, 195}, Due: in.Until,
		})
	}
	d, unplaced := newDay(in)
	if len(unplaced) > 0 {
		t.Fatal(unplaced)
	}
	s := &solver{d: d, packing: map[[2]int]int{}}
	if got := s.fewest(0, math.MaxInt); got < 1 || got > 3 {
		t.Errorf("5 rolls, 2 a load: at least %d loads; want a bound from 1 to 3", got)
	}
}

// A day of thousands of rolls is planned as quickly for the patient as for others.
func TestPatienceIsForDaysThatGainByIt(t *testing.T) {
	t.Parallel()
	last := math.MaxInt
	for _, rolls := range []int{0, 1, usualRolls, 500, 1000, 2000, 10_000, 1_000_000} {
		quick, thorough := effortFor(rolls).left, thoroughEffortFor(rolls).left
		if thorough < quick || thorough > last {
			t.Errorf("%d rolls: %d for the patient after %d for fewer rolls, %d for others", rolls, thorough, last, quick)
		}
		if more := float64(thorough) / float64(quick); rolls <= usualRolls && more != 5 || rolls >= 10_000 && more != 1 {
			t.Errorf("%d rolls: %.1f times as much for the patient", rolls, more)
		}
		last = thorough
	}
}
