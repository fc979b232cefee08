package server_test

import (
	"fmt"
	"math"
	"net/http"
	"time"

	"wetside/jobs"
	"wetside/server/api"
)

// What goes wrong, by working days from 0.
const (
	wrongPourDay = 5
	badStripDay  = 8
	spillDay     = 10
	releaseDay   = 13
)

// dateOf is when a working day begins; weekends are idle.
func dateOf(day int) time.Time { return start.AddDate(0, 0, day/5*7+day%5) }

// morning signs everybody in, reads the strip, and on Mondays makes up for the
// idle days.
func (m *month) morning(day int) {
	m.clock.advance(dateOf(day).Sub(m.clock.now()))
	m.signIn()
	ask[api.Forecasts](m.kit, "POST", "/forecasts", "", http.StatusOK)
	ask[api.MorningList](m.kit, "GET", "/morning-list", "", http.StatusOK)
	if day > 0 && day%5 == 0 {
		for _, solution := range []jobs.SolutionID{m.dev, m.fix} {
			fill := ask[api.FillLedger](m.kit, "GET", fmt.Sprintf("/fills/%d", m.fills[solution].Id), "", http.StatusOK)
			m.topUp(solution, max(50, int(math.Ceil(fill.State.IdleTopUpMl))), "idle days")
		}
	}
	if day == badStripDay {
		return // it is read when film waits
	}
	m.strip(0)
}

// strip reads a strip whose red layer is off by so much.
func (m *month) strip(by float64) api.Strip {
	m.t.Helper()
	m.clock.advance(time.Minute)
	return ask[api.Strip](m.kit, "POST", "/strips", jsonOf(m.t, map[string]any{
		"line": m.colour, "process": "C-41", "densities": stripOff(by)}), http.StatusCreated)
}

// stop reads two strips past the control limit, which stop the line.
func (m *month) stop() jobs.StripID {
	m.t.Helper()
	m.strip(0.1)
	second := m.strip(0.1)
	m.bad = append(m.bad, second.Id)
	return second.Id
}

// inspect marks the film that a strip casts doubt on and finds all of it good.
func (m *month) inspect(strip jobs.StripID) {
	m.t.Helper()
	mark := jsonOf(m.t, map[string]any{"cause": "strip", "cause_id": strip, "why": "the line was out of control"})
	m.marked = ask[api.Marked](m.kit, "POST", "/inspections", mark, http.StatusCreated).Marked
	if again := ask[api.Marked](m.kit, "POST", "/inspections", mark, http.StatusCreated); len(again.Marked) != 0 || len(again.Already) != len(m.marked) {
		m.t.Errorf("marked again: %+v", again)
	}
	var open []any
	for _, inspection := range ask[api.Inspections](m.kit, "GET", "/inspections?open=true&limit=100", "", http.StatusOK).Inspections {
		open = append(open, inspection.Id)
	}
	closed := ask[api.Inspections](m.kit, "POST", "/inspections/close", jsonOf(m.t, map[string]any{
		"inspections": open, "outcome": "good", "finding": "densities as usual"}), http.StatusOK)
	if len(closed.Inspections) != len(m.marked) {
		m.t.Errorf("%d rolls were marked, %d inspections closed", len(m.marked), len(closed.Inspections))
	}
}

// work takes the film of the day in and develops all of it.
func (m *month) work(day int) {
	bw, plain, pushed := m.takeIn()
	m.blackAndWhite(bw)
	first := m.accept(m.colour, plain[:len(plain)/2])
	second := m.accept(m.colour, plain[len(plain)/2:])
	switch day {
	case wrongPourDay:
		m.foul(m.dev, m.fix, 200)
		m.refuse(first, "takes no more film")
		m.dump(m.dev, "fouled")
		m.pour(m.dev, m.colour, 30_000)
	case badStripDay:
		bad := m.stop()
		m.refuse(first, "line stopped")
		m.inspect(bad)
		m.strip(0)
	case spillDay:
		m.spill(m.fix, 700)
		m.topUp(m.fix, 300, "a part of what was spilled")
	}
	m.run(first)
	if day == releaseDay {
		bad := m.stop()
		m.refuse(second, "line stopped")
		ask[api.Strip](m.wren, "POST", fmt.Sprintf("/strips/%d/release", bad), `{"reason":"the densitometer was off"}`, http.StatusOK)
	}
	m.run(second)
	if len(pushed) > 0 {
		m.run(m.accept(m.colour, pushed))
	}
}

// blackAndWhite develops rolls in the deep tank, which is filled afresh when it
// is used up.
func (m *month) blackAndWhite(rolls []jobs.RollID) {
	batch := m.accept(m.bw, rolls)
	fill := m.fills[m.mq].Id
	if fill == m.firstMQ && !m.ranOut.IsZero() {
		m.refuse(batch, "takes no more film")
		m.dump(m.mq, "used up")
		fill = m.pour(m.mq, m.bw, 72_000).Id
	}
	m.run(batch)
	verdict := ask[api.FillLedger](m.kit, "GET", fmt.Sprintf("/fills/%d", fill), "", http.StatusOK).State.Verdict
	if fill == m.firstMQ && verdict == "exhausted" {
		m.ranOut = m.clock.now()
	}
}

// refuse sees that a batch may not start.
func (m *month) refuse(batch api.Batch, says string) {
	m.t.Helper()
	m.kit.refused("POST", batchPath(batch.Id, "start"), m.startOf(batch), refusedInput, jobs.Refused, startField(says), says)
	m.refused++
}

// startField is what an objection to a start is about.
func startField(says string) string {
	if says == "line stopped" {
		return "strips"
	}
	return "fills"
}

func (m *month) startOf(batch api.Batch) string {
	return fmt.Sprintf(`{"version":%d,"developer_c":%g}`, batch.Version, batch.TempC)
}

// evening moves some of the film along the dry side, hands some out, and on
// Fridays has the waste collected.
func (m *month) evening(day int) {
	m.clock.advance(time.Hour)
	m.drySide()
	if day%5 == 4 {
		m.collect(fmt.Sprintf("week %d", day/5+1))
	}
}
