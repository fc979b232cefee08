package server

import (
	"maps"
	"math"
	"slices"
	"strconv"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// acts are the forms for what may happen to a fill in use.
func (f filled) acts(state chemistry.State, t typed) []web.ActionForm {
	acts := []web.ActionForm{f.topUpForm(state, t), f.spillForm(t), f.foulForm(t)}
	if f.solution.Family.Clears() {
		acts = append(acts, f.clearingForm(t))
	}
	for i, name := range []string{"topup", "spill", "foul", "clearing"}[:len(acts)] {
		for value := range t.values {
			acts[i].Open = acts[i].Open || len(value) > len(name) && value[:len(name)+1] == name+"."
		}
	}
	return acts
}

// seen names the last entry that a form was made from, so that nothing is
// recorded twice.
func (f filled) seen(form string) []web.Hidden {
	last := int64(0)
	if n := len(f.ledger); n > 0 {
		last = f.ledger[n-1].ID
	}
	return []web.Hidden{{Name: form + ".seen", Value: strconv.FormatInt(last, 10)}}
}

// topUpForm proposes what an idle developer needs.
func (f filled) topUpForm(state chemistry.State, t typed) web.ActionForm {
	ml, why, open := "", "", false
	if idle := math.Round(state.IdleTopUpML); idle >= 1 {
		ml, why, open = strconv.Itoa(int(idle)), "It stood idle.", true
	}
	own := slices.DeleteFunc(slices.Clone(f.mixes), func(m jobs.Mix) bool { return m.Solution != f.Solution || m.LeftML <= 0 })
	say := "Replenisher, or working solution, that goes in beside what film calls for. All of it counts as such: leave out water that only makes up for what evaporated."
	if open {
		say += " Proposed after idle days: " + chemistry.IdleSource.String() + "."
	}
	return web.ActionForm{
		Title: "Top it up", Say: say, Path: fillPath(f.ID) + "/top-up", Button: "It is topped up", Hidden: f.seen("topup"), Open: open,
		Fields: []web.Field{
			required(measured(t.field(web.Number, "topup.ml", "Poured in", ml), "mL")),
			t.field(web.Select, "topup.mix", "From the mix", "", mixOptions(own)...),
			required(t.field(web.Text, "topup.reason", "Why", why)),
		},
	}
}

func (f filled) spillForm(t typed) web.ActionForm {
	return web.ActionForm{
		Title: "Some of it was spilled", Path: fillPath(f.ID) + "/spill", Button: "Record the spill", Hidden: f.seen("spill"),
		Fields: []web.Field{
			hinted(required(measured(t.field(web.Number, "spill.ml", "Lost", ""), "mL")), mlWords(f.NowML)+" are in it on record."),
			required(t.field(web.Text, "spill.reason", "What happened", "")),
		},
	}
}

func (f filled) foulForm(t typed) web.ActionForm {
	foreign := slices.DeleteFunc(slices.Clone(f.mixes), func(m jobs.Mix) bool { return m.Solution == f.Solution || m.LeftML <= 0 })
	return web.ActionForm{
		Title: "Something got in that does not belong", Path: fillPath(f.ID) + "/foul", Button: "It is fouled", Class: "danger", Hidden: f.seen("foul"),
		Say: "No film goes in until it is dumped and poured afresh.",
		Fields: []web.Field{
			required(t.field(web.Text, "foul.what", "What got in", "")),
			hinted(measured(t.field(web.Number, "foul.ml", "How much", ""), "mL"), "Leave it empty for a splash."),
			hinted(t.field(web.Select, "foul.mix", "Poured by mistake from", "", mixOptions(foreign)...), "Where it was the wrong bottle."),
		},
	}
}

func (f filled) clearingForm(t typed) web.ActionForm {
	now := required(measured(t.field(web.Number, "clearing.now_s", "Clears in", ""), "s"))
	form := web.ActionForm{
		Title: "Test how fast film clears", Path: fillPath(f.ID) + "/clearing-test", Button: "Keep the test",
		Say:    "Drop a scrap of undeveloped film in and time it until it is clear. Discard at twice the fresh time (" + chemistry.ClearingSource.String() + ").",
		Fields: []web.Field{now},
	}
	if f.Clearing != nil {
		form.Say += " Fresh, it cleared in " + secondsWords(f.Clearing.FreshS) + "."
		return form
	}
	fresh := hinted(required(measured(t.field(web.Number, "clearing.fresh_s", "Fresh, it cleared in", ""), "s")), "Asked once: it is remembered for this fill.")
	form.Fields = []web.Field{fresh, now}
	return form
}

// dumpForm offers the containers for this kind of waste with how full they are.
func (f filled) dumpForm(t typed) web.ActionForm {
	kind := f.solution.Family.Waste()
	options := []web.Option{{Label: "The first one for " + string(kind) + " waste"}}
	for _, id := range slices.Sorted(maps.Keys(f.containers)) {
		if c := f.containers[id]; c.Active && c.Kind == kind {
			options = append(options, web.Option{Value: keyText(c.ID), Label: c.Name + ", " + fullWords(c)})
		}
	}
	return web.ActionForm{
		Path: fillPath(f.ID) + "/dump", Button: "Dump this fill", Class: "danger",
		Fields: []web.Field{
			hinted(required(t.field(web.Text, "reason", "Why it is dumped", "")), "For the record, as in “capacity used” or “developer carried into the bleach”."),
			hinted(t.field(web.Select, "container", "Into", "", options...), mlWords(f.NowML)+" go into it."),
		},
	}
}

// fullWords says how full a container is.
func fullWords(c jobs.Container) string {
	if c.VolumeML == 0 {
		return mlWords(c.HoldsML) + " in it"
	}
	return mlWords(c.HoldsML) + " of " + volumeWords(c.VolumeML)
}
