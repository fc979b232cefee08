package main

import (
	"fmt"
	"math"
	"time"

	"wetside/chemistry"
)

// readBath reads the input of wetside bath. Every error names the field and
// what is allowed.
func readBath(text []byte) (bathQuestion, error) {
	in, err := decodeBath(text)
	if err != nil {
		return bathQuestion{}, err
	}
	r := &fieldReader{}
	bath := bathQuestion{now: r.time("now", in.Now, false)}
	bath.fill = r.fill(in.Fill)
	bath.solution = r.solution(in.Solution, bath.fill.VolumeML)
	if bath.fill.Clearing != nil && !bath.solution.Family.Clears() {
		r.fail("fill.clearing is for a fixer or bleach-fix, solution.family is %q", bath.solution.Family)
	}
	if in.Fill.TwoBath && bath.fill.Clearing == nil {
		r.fail("fill.two_bath is given without fill.clearing, which tells when bath 1 is spent")
	}
	for i, pass := range in.Through {
		read, assumed := r.pass(fmt.Sprintf("through[%d]", i), pass, bath)
		bath.fill.Through = append(bath.fill.Through, read)
		bath.assumed = bath.assumed || assumed
	}
	for i, day := range in.Recent {
		bath.fill.Recent = append(bath.fill.Recent, r.recent(fmt.Sprintf("recent[%d]", i), day, bath.now))
	}
	if in.Next != nil {
		area, given := r.film("next", in.Next.filmJSON)
		if !given {
			r.fail("next.rolls is missing, give it or next.area_m2")
		}
		bath.next = &film{area, r.stops("next.push", in.Next.Push)}
	}
	return bath, r.fault
}

func (r *fieldReader) solution(in solutionJSON, volumeML float64) chemistry.Solution {
	solution := chemistry.Solution{Name: in.Name}
	family, err := chemistry.ParseSolutionFamily(in.Family)
	if err != nil {
		r.fail("solution.family: %w", err)
	}
	solution.Family = family
	solution.Use = oneOf(r, "solution.use", in.Use, chemistry.UseModes)
	if in.Capacity != nil {
		solution.CapacityM2PerL = r.capacity(*in.Capacity, volumeML/1000)
	}
	if in.TimePercentPerRoll != nil && solution.Use != chemistry.Reused {
		r.fail("solution.time_percent_per_roll is for use reused only, solution.use is %q", in.Use)
	}
	solution.TimePercentPerRoll = r.number("solution.time_percent_per_roll", in.TimePercentPerRoll, 0, 100)
	switch replenished := solution.Use == chemistry.Replenished; {
	case in.Replenisher != nil && !replenished:
		r.fail("solution.replenisher is for use replenished only, solution.use is %q", in.Use)
	case in.Replenisher != nil:
		solution.Replenisher = r.replenisher(*in.Replenisher)
	case replenished:
		r.fail("solution.replenisher is missing, use replenished wants one of ml_per_m2, ml_per_ft2, ml_per_roll, m2_per_l")
	}
	if b := in.Bromide; b != nil {
		solution.Bromide = chemistry.BromideFigures{
			ReleasedMGPerRoll: r.number("solution.bromide.released_mg_per_roll", b.ReleasedMGPerRoll, 0, 1000),
			ReplenisherGPerL:  r.number("solution.bromide.replenisher_g_per_l", b.ReplenisherGPerL, 0, 100),
			StartGPerL:        r.number("solution.bromide.start_g_per_l", b.StartGPerL, 0, 100),
		}
	}
	for i, keeps := range in.Keeps {
		solution.Keeping = append(solution.Keeping, r.keeping(fmt.Sprintf("solution.keeps[%d]", i), keeps))
	}
	solution.MinimumMLPerRoll = r.number("solution.minimum_ml_per_roll", in.MinimumMLPerRoll, 1, 1e5)
	return solution
}

// capacity returns m² a litre, whichever way it was given.
func (r *fieldReader) capacity(in capacityJSON, litres float64) float64 {
	perL := r.exactlyOne("solution.capacity", []choice{
		{"m2_per_l", in.M2PerL, 1e-3, 100, func(m2 float64) float64 { return m2 }},
		{"rolls_per_l", in.RollsPerL, 0.01, 1000, func(rolls float64) float64 { return rolls * chemistry.FilmUnitArea }},
		{"m2", in.M2, 1e-3, 1e4, func(m2 float64) float64 { return m2 / litres }},
		{"rolls", in.Rolls, 0.01, maxRolls, func(rolls float64) float64 { return rolls * chemistry.FilmUnitArea / litres }},
	})
	if math.IsNaN(perL) || perL > 100 {
		r.fail("solution.capacity is %.6g m² a litre, allowed are 0.001 to 100", perL)
	}
	return perL
}

func (r *fieldReader) replenisher(in replenisherJSON) chemistry.ReplenishRate {
	const field = "solution.replenisher"
	return chemistry.ReplenishRate{
		MLPerM2: r.exactlyOne(field, []choice{
			{"ml_per_m2", in.MLPerM2, 1, 1e5, func(ml float64) float64 { return ml }},
			{"ml_per_ft2", in.MLPerFt2, 0.1, 9000, func(ml float64) float64 { return ml / chemistry.SquareFoot }},
			{"ml_per_roll", in.MLPerRoll, 0.1, 5000, func(ml float64) float64 { return ml / chemistry.FilmUnitArea }},
			{"m2_per_l", in.M2PerL, 0.01, 1000, func(m2 float64) float64 { return 1000 / m2 }},
		}),
		PushFactor: r.number(field+".push_factor", in.PushFactor, 0.5, 2),
	}
}

func (r *fieldReader) keeping(field string, in keepsJSON) chemistry.Keeping {
	keeping := chemistry.Keeping{Months: in.Months, Days: in.Days}
	if in.Storage != "" {
		keeping.Storage = oneOf(r, field+".storage", in.Storage, chemistry.Storages)
	}
	if in.Months < 0 || in.Months > 120 || in.Days < 0 || in.Days > 3660 || in.Months+in.Days == 0 {
		r.fail("%s is %d months and %d days, allowed are 0 to 120 months and 0 to 3660 days, not both 0", field, in.Months, in.Days)
	}
	return keeping
}

func (r *fieldReader) fill(in fillJSON) chemistry.Fill {
	fill := chemistry.Fill{
		VolumeML: r.needed("fill.volume_ml", in.VolumeML, 1, 1e7),
		Filled:   r.time("fill.filled", in.Filled, false),
		Mixed:    r.time("fill.mixed", in.Mixed, true),
		TwoBath:  in.TwoBath,
	}
	if in.Storage != "" {
		fill.Storage = oneOf(r, "fill.storage", in.Storage, chemistry.Storages)
	}
	if c := in.Clearing; c != nil {
		fill.Clearing = &chemistry.ClearingTest{
			FreshS: r.needed("fill.clearing.fresh_s", c.FreshS, 1, 3600),
			NowS:   r.needed("fill.clearing.now_s", c.NowS, 1, 3600),
		}
	}
	return fill
}

// pass reads film that went through, and tells whether its replenisher had to
// be assumed.
func (r *fieldReader) pass(field string, in throughJSON, bath bathQuestion) (chemistry.Pass, bool) {
	area, given := r.film(field, in.filmJSON)
	if !given && in.ReplenisherML == nil {
		r.fail("%s.rolls is missing, give it, %s.area_m2, or for a top-up %s.replenisher_ml", field, field, field)
	}
	pass := chemistry.Pass{At: r.time(field+".at", in.At, false), AreaM2: area, Push: r.stops(field+".push", in.Push)}
	if r.fault == nil && pass.At.Before(bath.fill.Filled) {
		r.fail("%s.at is %s, allowed is fill.filled, %s, and later", field, in.At, bath.fill.Filled.Format(time.RFC3339))
	}
	if r.fault == nil && pass.At.After(bath.now) {
		r.fail("%s.at is %s, allowed is now, %s, and earlier", field, in.At, bath.now.Format(time.RFC3339))
	}
	pass.ReplenisherML = r.number(field+".replenisher_ml", in.ReplenisherML, 0, 1e7)
	if in.ReplenisherML != nil {
		return pass, false
	}
	pass.ReplenisherML = bath.solution.CalledForML(area, pass.Push)
	return pass, pass.ReplenisherML > 0
}

// recent reads a day's work; its day is a date, not a time.
func (r *fieldReader) recent(field string, in recentJSON, now time.Time) chemistry.DayWork {
	area, given := r.film(field, in.filmJSON)
	if !given {
		r.fail("%s.rolls is missing, give it or %s.area_m2", field, field)
	}
	day, err := time.Parse(time.DateOnly, in.Day)
	if err != nil || in.Day > now.Format(time.DateOnly) {
		r.fail("%s.day is %q, a date like 2026-03-02 is wanted, not after now", field, in.Day)
	}
	return chemistry.DayWork{Day: day, AreaM2: area}
}
