package server_test

import (
	"fmt"
	"net/http"
	"slices"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// filmBook is what became of every roll, by what was acknowledged.
type filmBook struct {
	states    map[jobs.RollID]jobs.RollState
	units     map[jobs.RollID]float64 // of 80 in²
	developed map[jobs.LineID]float64 // units
	runs      []passage
	drying    []api.Roll
}

// passage is a batch as it ran.
type passage struct {
	line  jobs.LineID
	at    time.Time
	rolls []jobs.RollID
}

func newFilmBook() filmBook {
	return filmBook{states: map[jobs.RollID]jobs.RollState{}, units: map[jobs.RollID]float64{}, developed: map[jobs.LineID]float64{}}
}

// takeIn takes orders in for about a hundred rolls and checks all of them in.
func (m *month) takeIn() (bw, plain, pushed []jobs.RollID) {
	marl := m.customers.film(m, "Marl 400", "", 36+m.random.IntN(9))
	sedge := m.customers.film(m, "Sedge 160", "", 54+m.random.IntN(11))
	return marl, sedge, m.customers.film(m, "Sedge 640", `,"ei":1250,"push":1`, 4+m.random.IntN(5))
}

// film sends in so many rolls of a stock, most of them 135-36, in orders of at
// most 50, and has them checked in.
func (c caller) film(m *month, stock, more string, rolls int) (queued []jobs.RollID) {
	m.t.Helper()
	for ; rolls > 0; rolls -= 50 {
		body, units := "", []float64{}
		for range min(rolls, 50) {
			format, exposures, size := chemistry.Format135, 36, 1.0
			switch m.random.IntN(8) {
			case 0:
				exposures, size = 24, 24.0/36
			case 1:
				format, exposures = chemistry.Format120, 0
			}
			body += fmt.Sprintf(`,{"stock":%d,"format":"%s","exposures":%d%s}`, m.stocks[stock].ID, string(format), exposures, more)
			units = append(units, size)
		}
		m.clock.advance(5 * time.Second)
		taken := ask[api.OrderTaken](c, "POST", "/orders",
			`{"name":"Fern Hollow","email":"fern@example.org","return":"collect","rolls":[`+body[1:]+`]}`, http.StatusCreated)
		for i, roll := range taken.Rolls {
			in := ask[api.Roll](m.kit, "POST", rollPath(roll.Id, "check-in"), `{"version":1}`, http.StatusOK)
			m.rolls.states[in.Id], m.rolls.units[in.Id] = in.State, units[i]
			queued = append(queued, in.Id)
		}
	}
	return queued
}

// accept makes a batch of rolls.
func (m *month) accept(line jobs.LineID, rolls []jobs.RollID) api.Batch {
	m.t.Helper()
	batch := ask[api.Batch](m.kit, "POST", "/batches", jsonOf(m.t, map[string]any{"line": line, "rolls": rolls}), http.StatusCreated)
	m.note(batch)
	return batch
}

// note keeps what an answer says of the rolls of a batch.
func (m *month) note(batch api.Batch) {
	for _, roll := range batch.Rolls {
		m.rolls.states[roll.Id] = roll.State
	}
}

// run develops a batch and confirms what was poured for it.
func (m *month) run(batch api.Batch) {
	m.t.Helper()
	m.clock.advance(time.Minute)
	batch = ask[api.Batch](m.kit, "POST", batchPath(batch.Id, "start"), m.startOf(batch), http.StatusOK)
	ran := passage{line: batch.Line, at: m.clock.now()}
	m.clock.advance(40 * time.Minute)
	batch = ask[api.Batch](m.kit, "POST", batchPath(batch.Id, "finish"), seen(batch.Version), http.StatusOK)
	m.note(batch)
	for _, roll := range batch.Rolls {
		ran.rolls = append(ran.rolls, roll.Id)
		m.rolls.developed[batch.Line] += m.rolls.units[roll.Id]
	}
	m.rolls.runs = append(m.rolls.runs, ran)
	m.rolls.drying = append(m.rolls.drying, batch.Rolls...)
	m.confirm(batch.Id)
}

// drySide finishes a part of what dries, and hands half of that out.
func (m *month) drySide() {
	n := min(40, len(m.rolls.drying))
	var ready []jobs.RollID
	for _, roll := range m.rolls.drying[:n] {
		for range 2 {
			roll = ask[api.Roll](m.kit, "POST", rollPath(roll.Id, "advance"), seen(roll.Version), http.StatusOK)
		}
		m.rolls.states[roll.Id] = roll.State
		ready = append(ready, roll.Id)
	}
	m.rolls.drying = slices.Clone(m.rolls.drying[n:])
	gone := ask[api.Delivered](m.kit, "POST", "/deliveries", jsonOf(m.t, map[string]any{"rolls": ready[:n/2], "how": "collect"}), http.StatusCreated)
	for _, roll := range gone.Rolls {
		m.rolls.states[roll.Id] = roll.State
	}
}
