package server_test

import (
	"fmt"
	"math"
	"net/http"

	"wetside/jobs"
	"wetside/server/api"
)

// account is one lot, mix, fill or container.
type account struct {
	kind string
	id   int64
}

// book is what is in every account, by what was acknowledged.
type book map[account]float64

func ofLot(id jobs.LotID) account             { return account{"lot", int64(id)} }
func ofMix(id jobs.MixID) account             { return account{"mix", int64(id)} }
func ofFill(id jobs.FillID) account           { return account{"fill", int64(id)} }
func ofContainer(id jobs.ContainerID) account { return account{"container", int64(id)} }

// agrees compares what an answer says of an account with the book.
func (m *month) agrees(a account, told float64) {
	m.t.Helper()
	if math.Abs(m.book[a]-told) > 1e-3 {
		m.t.Errorf("%s %d: the book says %g, the lab %g", a.kind, a.id, m.book[a], told)
	}
}

// receive takes a bottle into stock; each has a number of its own.
func (m *month) receive(part string, ml float64) {
	lot := ask[api.Lot](m.kit, "POST", "/lots", jsonOf(m.t, map[string]any{
		"part": part, "number": fmt.Sprintf("n%d", len(m.book)), "unit": "mL", "amount": ml}), http.StatusCreated)
	m.book[ofLot(lot.Id)] += ml
	m.agrees(ofLot(lot.Id), lot.Left)
}

// mix mixes as the sheet says.
func (m *month) mix(solution jobs.SolutionID, preparation string, ml int) api.Mix {
	m.t.Helper()
	sheet := ask[api.MixingSheet](m.kit, "GET", fmt.Sprintf("/mixing-sheet?solution=%d&preparation=%s&volume_ml=%d", solution, preparation, ml), "", http.StatusOK)
	var uses []api.LotUse
	for _, part := range sheet.Parts {
		if part.Missing > 0 {
			m.t.Fatalf("%g mL of %s are missing", part.Missing, part.Name)
		}
		uses = append(uses, part.Lots...)
	}
	mixed := ask[api.Mix](m.kit, "POST", "/mixes", jsonOf(m.t, map[string]any{
		"solution": solution, "preparation": preparation, "volume_ml": ml, "lots": uses}), http.StatusCreated)
	for _, use := range uses {
		m.book[ofLot(use.Lot)] -= use.Amount
	}
	m.book[ofMix(mixed.Id)] += float64(ml)
	m.agrees(ofMix(mixed.Id), mixed.LeftMl)
	return mixed
}

// pour mixes a fill and half a litre too much, and pours it.
func (m *month) pour(solution jobs.SolutionID, line jobs.LineID, ml int) api.Fill {
	m.t.Helper()
	mixed := m.mix(solution, "working", ml+500)
	fill := ask[api.Fill](m.kit, "POST", "/fills", jsonOf(m.t, map[string]any{
		"solution": solution, "line": line, "volume_ml": ml, "mix": mixed.Id}), http.StatusCreated)
	m.book[ofMix(mixed.Id)] -= float64(ml)
	m.book[ofFill(fill.Id)] += float64(ml)
	m.agrees(ofFill(fill.Id), fill.NowMl)
	m.fills[solution] = fill
	return fill
}

// into books what was poured from a mix into the fill of a solution, whose tank
// overflows into waste.
func (m *month) into(solution jobs.SolutionID, from jobs.MixID, ml int) {
	fill := m.fills[solution]
	m.book[ofMix(from)] -= float64(ml)
	holds := m.book[ofFill(fill.Id)] + float64(ml)
	over := max(0, holds-float64(fill.VolumeMl))
	m.book[ofFill(fill.Id)] = holds - over
	if over > 0 {
		m.book[ofContainer(m.waste[solution])] += over
	}
}

// replenishing returns a mix of replenisher with enough left; what is left of
// one without is dumped.
func (m *month) replenishing(solution jobs.SolutionID, ml int) jobs.MixID {
	m.t.Helper()
	old := m.replenisher[solution]
	if old.Id != 0 && m.book[ofMix(old.Id)] >= float64(ml) {
		return old.Id
	}
	if left := m.book[ofMix(old.Id)]; old.Id != 0 && left > 0 {
		gone := ask[api.Mix](m.kit, "POST", fmt.Sprintf("/mixes/%d/losses", old.Id), `{"reason":"too little for a dose"}`, http.StatusCreated)
		m.book[ofContainer(m.waste[solution])] += left
		m.book[ofMix(old.Id)] = 0
		m.agrees(ofMix(old.Id), gone.LeftMl)
	}
	m.replenisher[solution] = m.mix(solution, "replenisher", 12_000)
	return m.replenisher[solution].Id
}

// confirm pours what a batch calls for: now and then not quite, or nothing.
func (m *month) confirm(batch jobs.BatchID) {
	m.t.Helper()
	for _, dose := range ask[api.Doses](m.kit, "GET", fmt.Sprintf("/doses?batch=%d&open=true", batch), "", http.StatusOK).Doses {
		ml, why := dose.RoundedMl, ""
		switch m.random.IntN(8) {
		case 0:
			ml, why = 0, "the jug was empty"
		case 1:
			ml, why = ml+ml/2, "made up for the last one"
		case 2:
			ml -= 10
		}
		if ml != dose.RoundedMl {
			m.differences++
		}
		sent := map[string]any{"ml": ml, "why": why}
		from := m.replenishing(dose.Solution, ml)
		if ml > 0 {
			sent["mix"] = from
		}
		path := fmt.Sprintf("/doses/%d/confirm", dose.Id)
		given := ask[api.Dose](m.kit, "POST", path, jsonOf(m.t, sent), http.StatusOK)
		m.kit.refused("POST", path, jsonOf(m.t, sent), conflict, jobs.WrongState, "", "confirmed already")
		if given.Given == nil || given.Given.Ml != float64(ml) || given.Fill != m.fills[dose.Solution].Id {
			m.t.Errorf("confirmed: %+v", given)
		}
		m.into(dose.Solution, from, ml)
	}
}

// topUp pours replenisher into a fill for another reason than film.
func (m *month) topUp(solution jobs.SolutionID, ml int, reason string) {
	m.t.Helper()
	from := m.replenishing(solution, ml)
	now := m.act(solution, "top-up", map[string]any{"ml": ml, "mix": from, "reason": reason})
	m.into(solution, from, ml)
	m.agrees(ofFill(now.Id), now.NowMl)
	m.topUps++
}

// spill loses some of a fill.
func (m *month) spill(solution jobs.SolutionID, ml int) {
	m.t.Helper()
	now := m.act(solution, "spill", map[string]any{"ml": ml, "reason": "the hose slipped"})
	m.book[ofFill(now.Id)] -= float64(ml)
	m.agrees(ofFill(now.Id), now.NowMl)
}

// foul pours the replenisher of another solution into a fill.
func (m *month) foul(solution, other jobs.SolutionID, ml int) {
	m.t.Helper()
	from := m.replenishing(other, ml)
	now := m.act(solution, "foul", map[string]any{"what": "the wrong jug", "ml": ml, "mix": from})
	m.into(solution, from, ml)
	m.agrees(ofFill(now.Id), now.NowMl)
}

// dump ends a fill.
func (m *month) dump(solution jobs.SolutionID, reason string) {
	m.t.Helper()
	fill := m.act(solution, "dump", map[string]any{"reason": reason})
	m.book[ofContainer(m.waste[solution])] += m.book[ofFill(fill.Id)]
	m.book[ofFill(fill.Id)] = 0
	m.agrees(ofFill(fill.Id), fill.NowMl)
}

func (m *month) act(solution jobs.SolutionID, what string, sent map[string]any) api.Fill {
	m.t.Helper()
	return ask[api.Fill](m.kit, "POST", fmt.Sprintf("/fills/%d/%s", m.fills[solution].Id, what), jsonOf(m.t, sent), http.StatusOK)
}

// collect has the hauler take away whatever the containers hold.
func (m *month) collect(document string) {
	m.t.Helper()
	for _, c := range ask[api.Containers](m.kit, "GET", "/containers", "", http.StatusOK).Containers {
		m.agrees(ofContainer(c.Id), c.HoldsMl)
		ml := math.Floor(c.HoldsMl)
		if ml < 1 {
			continue
		}
		ask[api.Collection](m.kit, "POST", "/collections", jsonOf(m.t, map[string]any{
			"container": c.Id, "volume_ml": ml, "hauler": "Tern Haulage", "document": document}), http.StatusCreated)
		m.book[ofContainer(c.Id)] -= ml
	}
}
