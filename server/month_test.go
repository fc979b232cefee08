package server_test

import (
	"fmt"
	"math/rand/v2"
	"net/http"
	"testing"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// month is a lab that is run for a month through the API, by somebody who
// keeps books of their own from what the lab acknowledged.
type month struct {
	*lab
	t            *testing.T
	kit, wren    caller
	customers    caller
	random       *rand.Rand
	bw, colour   jobs.LineID
	mq, dev, fix jobs.SolutionID
	fills        map[jobs.SolutionID]api.Fill // in use
	replenisher  map[jobs.SolutionID]api.Mix
	waste        map[jobs.SolutionID]jobs.ContainerID
	book         book
	rolls        filmBook

	ranOut          time.Time // the day on which the first fill of MQ borax did
	firstMQ         jobs.FillID
	bad             []jobs.StripID // that stopped the line
	marked          []jobs.RollID  // for inspection, because of the first of them
	differences     int            // doses given that were not what was called for
	topUps, refused int
}

// workDays is how many working days the month has, of which the first is a
// Monday.
const workDays = 22

// Every account of the ledger, the forecast, the traces and the count of the
// rolls, after a month of work with what goes wrong in one.
func TestAMonthOfTheLab(t *testing.T) {
	t.Parallel()
	m := openMonth(t)
	for day := range workDays {
		m.morning(day)
		m.work(day)
		m.evening(day)
	}
	m.checkLedger()
	m.checkStock()
	m.checkFilm()
	m.checkForecast()
	for _, strip := range m.bad {
		m.checkTrace(strip)
	}
	m.checkFillTrace()
	m.tell()
}

// openMonth sets a lab up with two large lines and everything poured. The
// figures of the solutions are invented.
func openMonth(t *testing.T) *month {
	m := &month{lab: open(t), t: t, random: rand.New(rand.NewPCG(20260302, 22)), fills: map[jobs.SolutionID]api.Fill{},
		replenisher: map[jobs.SolutionID]api.Mix{}, waste: map[jobs.SolutionID]jobs.ContainerID{},
		book: book{}, rolls: newFilmBook()}
	m.customers = m.caller(t)
	m.signIn()
	m.setUp()
	for _, c := range ask[api.Containers](m.kit, "GET", "/containers", "", http.StatusOK).Containers {
		switch c.Kind {
		case chemistry.DeveloperWaste:
			m.waste[m.mq], m.waste[m.dev] = c.Id, c.Id
		case chemistry.SilverWaste:
			m.waste[m.fix] = c.Id
		}
	}
	for _, part := range []string{"MQ powder", "CD concentrate", "CD replenisher", "Fixer concentrate"} {
		m.receive(part, 60_000)
		m.receive(part, 60_000)
	}
	// 72 L take 36 m², which is what comes in in nearly four weeks.
	m.firstMQ = m.pour(m.mq, m.bw, 72_000).Id
	m.pour(m.dev, m.colour, 30_000)
	m.pour(m.fix, m.colour, 30_000)
	ask[api.StripBox](m.wren, "POST", "/strip-boxes", jsonOf(t, map[string]any{
		"process": "C-41", "number": "4711", "aim": stripAim, "strips": 60, "expires_on": "2026-09-30"}), http.StatusCreated)
	return m
}

// setUp has the owner write the recipes and the lines.
func (m *month) setUp() {
	t := m.t
	part := func(preparation, name string, amount float64) map[string]any {
		return map[string]any{"preparation": preparation, "name": name, "amount_per_l": amount, "unit": "mL"}
	}
	mq := m.solution(t, "MQ borax")
	m.mq = ask[api.Solution](m.wren, "PUT", fmt.Sprintf("/solutions/%d", mq.ID), jsonOf(t, map[string]any{
		"name": "MQ borax", "process": "BW", "family": "black-and-white developer", "use": "reused", "temp_c": 20,
		"per_roll_percent": 2, "capacity_m2_per_l": 0.5, "version": mq.Version,
		"parts": []any{part("working", "MQ powder", 100)}}), http.StatusOK).Id
	add := func(name, family string, tempC, rate float64, parts ...any) jobs.SolutionID {
		return ask[api.Solution](m.wren, "POST", "/solutions", jsonOf(t, map[string]any{
			"name": name, "process": "C-41", "family": family, "use": "replenished", "temp_c": tempC, "replenish_ml_per_m2": rate,
			"keeping": []any{map[string]any{"days": 90}}, "parts": parts}), http.StatusCreated).Id
	}
	m.dev = add("Colour developer", "colour developer", 37.8, 900, part("working", "CD concentrate", 80), part("replenisher", "CD replenisher", 90))
	m.fix = add("Colour fixer", "fixer", 38, 900, part("working", "Fixer concentrate", 200), part("replenisher", "Fixer concentrate", 250))
	line := func(name, process string, tanks map[string]any) jobs.LineID {
		return ask[api.Line](m.wren, "POST", "/lines", jsonOf(t, map[string]any{
			"name": name, "runs": []any{map[string]any{"process": process}}, "capacity": 60, "turnaround_s": 1500,
			"takes": map[string]int{"135": 1, "120": 1}, "tanks": tanks}), http.StatusCreated).Id
	}
	tank := func(ml int) map[string]any { return map[string]any{"volume_ml": ml} }
	m.bw = line("Deep tank", "BW", map[string]any{itoa(int(m.mq)): tank(72_000)})
	m.colour = line("Roller", "C-41", map[string]any{itoa(int(m.dev)): tank(30_000), itoa(int(m.fix)): tank(30_000)})
}

// signIn signs everybody in, as every morning.
func (m *month) signIn() { m.kit, m.wren = m.signedIn(m.t, "Kit"), m.signedIn(m.t, "Wren") }

// tell says what the month came to.
func (m *month) tell() {
	var entries, batches, events int
	m.one("SELECT (SELECT count(*) FROM ledger), (SELECT count(*) FROM batches), (SELECT count(*) FROM events)", nil, &entries, &batches, &events)
	m.t.Logf("%d rolls, %d batches, %d entries, %d events, %d accounts; %d doses differ, %d top-ups, %d starts refused",
		len(m.rolls.states), batches, entries, events, len(m.book), m.differences, m.topUps, m.refused)
	if len(m.rolls.states) < 2000 || m.differences == 0 || m.topUps == 0 || m.refused < 3 || len(m.bad) != 2 {
		m.t.Error("this was no whole month")
	}
}
