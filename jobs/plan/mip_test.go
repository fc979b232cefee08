//go:build mip

package plan_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"wetside/jobs/plan"
)

// TestMIP compares days too large to try all plans with an integer program of
// another kind, roll by roll, which GLPK's glpsol solves aim by aim.
func TestMIP(t *testing.T) {
	t.Parallel()
	if _, err := exec.LookPath("glpsol"); err != nil {
		t.Fatal("glpsol is not on the path; Debian has it in the package glpk-utils")
	}
	for i, kind := range dayKinds() {
		t.Run(kind.name, func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(uint64(i), 3))
			for turn := range 4 {
				in := kind.mipDay(r)
				if turn == 3 {
					postpone(r, in)
				}
				out, err := plan.Solve(in)
				if err != nil {
					t.Fatal(err)
				}
				got, err := audit(in, out)
				if err != nil {
					t.Fatal(err)
				}
				want := newReference(in).solve(t, got.dues)
				if got.compare(want) != 0 || !out.Proven {
					t.Errorf("plan is worth %+v, proven %v, the solver's %+v\n%+v", got, out.Proven, want, in)
				}
			}
		})
	}
}

// mipDay is a day of ten to twelve rolls, of eleven to fifteen where
// little presses.
func (k dayKind) mipDay(r *rand.Rand) plan.Input {
	if k.tight {
		return k.draw(r, 10+r.IntN(3), 1.2+r.Float64())
	}
	return k.draw(r, 11+r.IntN(5), 14)
}

// reference is a day as an integer program. The batch of roll r is the one of
// which r is the first roll; an early roll is first in its batch or in that of
// an earlier one.
type reference struct {
	in    plan.Input
	rolls []plan.Roll // placeable, by due
	early int
	dues  []int // distinct seconds at which early rolls are due, ascending
	rows  []string
	binar []string
}

func newReference(in plan.Input) *reference {
	m := &reference{in: in}
	for _, r := range in.Rolls {
		if slices.ContainsFunc(in.Lines, func(l plan.Line) bool { return fits(l, r) }) {
			m.rolls = append(m.rolls, r)
		}
	}
	slices.SortStableFunc(m.rolls, func(x, y plan.Roll) int { return x.Due.Compare(y.Due) })
	for m.early < len(m.rolls) && !m.rolls[m.early].Due.After(in.Until) {
		m.dues = append(m.dues, m.due(m.early))
		m.early++
	}
	m.dues = slices.Compact(m.dues)
	m.place()
	m.load()
	m.time()
	return m
}

func (m *reference) due(i int) int { return int(m.rolls[i].Due.Sub(m.in.Start) / time.Second) }

// meets says whether two rolls may be in one batch by what they are.
func (m *reference) meets(a, b plan.Roll) bool {
	return a.Process == b.Process && a.Solution == b.Solution &&
		(a.Push == b.Push || slices.Contains(m.in.Combine, a.Process)) &&
		max(a.DevelopS[0], b.DevelopS[0]) <= min(a.DevelopS[1], b.DevelopS[1])
}

func (m *reference) row(format string, args ...any) {
	m.rows = append(m.rows, fmt.Sprintf(format, args...))
}

func (m *reference) binary(format string, args ...any) string {
	name := fmt.Sprintf(format, args...)
	m.binar = append(m.binar, name)
	return name
}

// place: x_r_j says that roll j is in the batch of roll r; x_r_r that r has one.
func (m *reference) place() {
	for r := range m.early {
		m.binary("x_%d_%d", r, r)
		for j := r + 1; j < len(m.rolls); j++ {
			if m.meets(m.rolls[r], m.rolls[j]) {
				m.row("%s - x_%d_%d <= 0", m.binary("x_%d_%d", r, j), r, r)
			}
		}
		for i := r + 1; i < len(m.rolls); i++ {
			for j := i + 1; j < len(m.rolls); j++ {
				if m.meets(m.rolls[r], m.rolls[i]) && m.meets(m.rolls[r], m.rolls[j]) && !m.meets(m.rolls[i], m.rolls[j]) {
					m.row("x_%d_%d + x_%d_%d <= 1", r, i, r, j)
				}
			}
		}
	}
	for j := range m.rolls {
		in := m.batchesOf(j)
		switch {
		case j < m.early:
			m.row("%s = 1", strings.Join(in, " + "))
		case len(in) > 0:
			m.row("%s <= 1", strings.Join(in, " + "))
		}
	}
}

// batchesOf names the variables that put roll j into a batch.
func (m *reference) batchesOf(j int) []string {
	var in []string
	for r := 0; r < min(j+1, m.early); r++ {
		if r == j || m.meets(m.rolls[r], m.rolls[j]) {
			in = append(in, fmt.Sprintf("x_%d_%d", r, j))
		}
	}
	return in
}

// load: w_r_l says that the batch of r runs on line l.
func (m *reference) load() {
	for r := range m.early {
		var on []string
		for l, line := range m.in.Lines {
			if !fits(line, m.rolls[r]) {
				continue
			}
			on = append(on, m.binary("w_%d_%d", r, l))
			var used []string
			for j := r; j < len(m.rolls); j++ {
				if j != r && !m.meets(m.rolls[r], m.rolls[j]) {
					continue
				}
				if !fits(line, m.rolls[j]) {
					m.row("x_%d_%d + w_%d_%d <= 1", r, j, r, l)
					continue
				}
				used = append(used, fmt.Sprintf("%d x_%d_%d", line.Takes[m.rolls[j].Format], r, j))
			}
			// The room counts only where the batch is on this line.
			const slack = 1000
			m.row("%s + %d w_%d_%d <= %d", strings.Join(used, " + "), slack, r, l, line.Capacity+slack)
		}
		m.row("%s - x_%d_%d = 0", strings.Join(on, " + "), r, r)
	}
}

// time: e_r_l_k says that the batch of r is on line l and ends by due time k,
// the last k being no time at all; p_r_l_k is how long it takes then. A set of
// batches keeps its due times on a line exactly when, for each due time, those
// that must end by it take no longer together. o_j says that roll j is on time.
func (m *reference) time() {
	last := len(m.dues)
	for r := range m.early {
		for l, line := range m.in.Lines {
			if !fits(line, m.rolls[r]) {
				continue
			}
			var when []string
			for k := range last + 1 {
				when = append(when, m.binary("e_%d_%d_%d", r, l, k))
				for j := r; j < len(m.rolls); j++ {
					if j == r || m.meets(m.rolls[r], m.rolls[j]) {
						low := m.rolls[j].DevelopS[0]
						m.row("p_%d_%d_%d - %d e_%d_%d_%d - %d x_%d_%d >= %d", r, l, k, line.TurnaroundS+low, r, l, k, low, r, j, -low)
					}
				}
				m.row("p_%d_%d_%d - %d e_%d_%d_%d >= 0", r, l, k, line.TurnaroundS+m.rolls[r].DevelopS[0], r, l, k)
			}
			m.row("%s - w_%d_%d = 0", strings.Join(when, " + "), r, l)
		}
	}
	for l, line := range m.in.Lines {
		for k := range last + 1 {
			var busy []string
			for r := range m.early {
				for before := 0; before <= k && fits(line, m.rolls[r]); before++ {
					busy = append(busy, fmt.Sprintf("p_%d_%d_%d", r, l, before))
				}
			}
			switch {
			case len(busy) == 0:
			case k < last:
				m.row("%s <= %d", strings.Join(busy, " + "), max(m.dues[k], 0))
			default:
				m.row("%s - finish <= 0", strings.Join(busy, " + "))
			}
		}
	}
	m.onTime()
}

func (m *reference) onTime() {
	for j := range m.early {
		m.binary("o_%d", j)
		k, _ := slices.BinarySearch(m.dues, m.due(j))
		for r := range j + 1 {
			if r != j && !m.meets(m.rolls[r], m.rolls[j]) {
				continue
			}
			soon := []string{}
			for l, line := range m.in.Lines {
				for by := 0; by <= k && fits(line, m.rolls[r]); by++ {
					soon = append(soon, fmt.Sprintf("e_%d_%d_%d", r, l, by))
				}
			}
			m.row("o_%d + x_%d_%d - %s <= 1", j, r, j, strings.Join(soon, " - "))
		}
	}
}

// solve finds the best by each aim, given the better ones. Which later rolls
// ride is told apart by dues, of which as many must be met as those given say.
func (m *reference) solve(t *testing.T, dues []int) worth {
	var onTime, batches, rides []string
	for j := range m.early {
		onTime = append(onTime, fmt.Sprintf("o_%d", j))
		batches = append(batches, fmt.Sprintf("x_%d_%d", j, j))
	}
	if m.early == 0 {
		return worth{dues: dues}
	}
	w := worth{dues: dues}
	best := m.ask(t, "Maximize", strings.Join(onTime, " + "))
	w.late = m.early - best
	m.row("%s >= %d", strings.Join(onTime, " + "), best)
	w.batches = m.ask(t, "Minimize", strings.Join(batches, " + "))
	m.row("%s <= %d", strings.Join(batches, " + "), w.batches)
	for j := m.early; j < len(m.rolls); j++ {
		rides = append(rides, m.batchesOf(j)...)
	}
	if len(rides) > 0 {
		w.riders = m.ask(t, "Maximize", strings.Join(rides, " + "))
		m.row("%s >= %d", strings.Join(rides, " + "), w.riders)
	}
	for i, due := range dues {
		var by []string
		for j := m.early; j < len(m.rolls) && m.due(j) <= due; j++ {
			by = append(by, m.batchesOf(j)...)
		}
		m.row("%s >= %d", strings.Join(by, " + "), i+1)
	}
	w.finish = m.ask(t, "Minimize", "finish")
	return w
}

var objective = regexp.MustCompile(`Objective: +\S+ = ([0-9.e+-]+)`)

// ask writes the program for one aim and has it solved.
func (m *reference) ask(t *testing.T, way, aim string) int {
	t.Helper()
	var text strings.Builder
	fmt.Fprintf(&text, "%s\n aim: %s\nSubject To\n", way, aim)
	for i, row := range m.rows {
		fmt.Fprintf(&text, " r%d: %s\n", i, strings.ReplaceAll(row, " + ", "\n + "))
	}
	fmt.Fprintf(&text, "Binary\n %s\nEnd\n", strings.Join(m.binar, "\n "))
	dir := t.TempDir()
	file, answer := filepath.Join(dir, "day.lp"), filepath.Join(dir, "day.txt")
	if err := os.WriteFile(file, []byte(text.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	said, err := exec.Command("glpsol", "--lp", file, "--cuts", "--output", answer).CombinedOutput()
	if err != nil {
		t.Fatalf("glpsol: %v\n%s", err, said)
	}
	result, err := os.ReadFile(answer)
	if err != nil {
		t.Fatal(err)
	}
	found := objective.FindSubmatch(result)
	if found == nil || !strings.Contains(string(result), "INTEGER OPTIMAL") {
		t.Fatalf("glpsol found no optimum:\n%s", said)
	}
	value, err := strconv.ParseFloat(string(found[1]), 64)
	if err != nil {
		t.Fatal(err)
	}
	return int(value + 0.5)
}
