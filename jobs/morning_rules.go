package jobs

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"wetside/chemistry"
)

// MorningList says what to do before the day's film, in the order of the
// morning.
func (v BenchView) MorningList(now time.Time) MorningList {
	now = now.In(v.Lab.Zone())
	list := MorningList{Day: dayOf(now), At: now.UTC(), Items: []MorningItem{}}
	for _, items := range [][]MorningItem{
		v.strips(), v.pours(now), v.tanks(now), v.toMix(now), v.oldMixes(now), v.oldLots(now), v.oldBoxes(now), v.lowParts(now), v.fullContainers(),
	} {
		list.Items = append(list.Items, items...)
	}
	list.sort()
	return list
}

func (l *MorningList) sort() {
	first := func(yes bool) int {
		if yes {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(l.Items, func(a, b MorningItem) int {
		return cmp.Or(
			cmp.Compare(slices.Index(MorningGroups, a.Group), slices.Index(MorningGroups, b.Group)),
			cmp.Compare(first(a.Done.IsZero()), first(b.Done.IsZero())), cmp.Compare(first(a.Urgent), first(b.Urgent)),
			cmp.Compare(a.Where, b.Where), cmp.Compare(a.What, b.What), cmp.Compare(a.Key, b.Key),
		)
	})
}

// Since ticks off what an earlier list of the same day held and this one does
// not.
func (l MorningList) Since(earlier MorningList) MorningList {
	if !earlier.Day.Equal(l.Day) {
		return l
	}
	l.Items = slices.Clone(l.Items)
	open := map[string]bool{}
	for _, item := range l.Items {
		open[item.Key] = true
	}
	for _, item := range earlier.Items {
		if open[item.Key] {
			continue
		}
		if item.Done.IsZero() {
			item.Done = l.At
		}
		l.Items = append(l.Items, item)
	}
	l.sort()
	return l
}

// Seen ticks off what the fills in use and the control strips show to be done,
// without writing the list anew: a tank that was changed, a strip that was run.
func (l MorningList) Seen(w WetSide, now time.Time) MorningList {
	used := map[FillID]bool{}
	for _, fill := range w.Fills {
		used[fill.ID] = true
	}
	l.Items = slices.Clone(l.Items)
	for i, item := range l.Items {
		changed := item.Fill != 0 && !used[item.Fill]
		read := item.Strips != ControlKey{} && w.Controls[item.Strips].Objection == ""
		if item.Done.IsZero() && (changed || read) {
			l.Items[i].Done = now
		}
	}
	l.sort()
	return l
}

// strips are the lines that have to be shown a strip, or stand still.
func (v BenchView) strips() []MorningItem {
	var items []MorningItem
	for _, line := range v.Watched {
		item := MorningItem{
			Key: fmt.Sprintf("strips:%d:%s", line.Line, line.Process), Where: line.LineName, Urgent: true,
			Strips: ControlKey{line.Line, line.Process}, Why: line.Objection(),
		}
		switch line.State.Standing {
		case StripDue:
			item.Group, item.What = StripsToRun, fmt.Sprintf("Run a %s control strip", line.Process)
		case SecondWanted:
			item.Group, item.What = StoppedLines, fmt.Sprintf("Run a second %s control strip", line.Process)
		case LineStopped:
			item.Group, item.What = StoppedLines, fmt.Sprintf("Put %s right", line.Process)
		default:
			continue
		}
		item.Key += ":" + string(line.State.Standing)
		items = append(items, item)
	}
	return items
}

// pours are the doses of earlier days that nobody has confirmed, by batch.
func (v BenchView) pours(now time.Time) []MorningItem {
	today := midnight(now)
	type left struct {
		n  int
		ml float64
		Dose
	}
	batches := map[BatchID]left{}
	for _, dose := range v.Doses {
		if dose.Given == nil && dose.DumpedAt.IsZero() && dose.At.Before(today) {
			l := batches[dose.Batch]
			batches[dose.Batch] = left{l.n + 1, l.ml + dose.CalledML, dose}
		}
	}
	var items []MorningItem
	for _, id := range slices.Sorted(maps.Keys(batches)) {
		l := batches[id]
		items = append(items, MorningItem{
			Key: fmt.Sprintf("pours:%d", id), Group: PoursToConfirm, What: fmt.Sprintf("Confirm what was poured for batch %d", id), Where: l.LineName,
			Why:   fmt.Sprintf("%s, %.0f mL in all, not confirmed since %s", counted(l.n, "dose"), l.ml, weekday(dayOf(l.At.In(now.Location())))),
			Batch: id,
		})
	}
	return items
}

// tanks are the fills to change, those that will soon be too old and those to
// be topped up after idle days.
func (v BenchView) tanks(now time.Time) []MorningItem {
	var items []MorningItem
	for _, fill := range v.Fills {
		state, known := v.stateOf(fill, now)
		if !known {
			continue
		}
		_, waits := fill.WaitsForPours(v.Solutions[fill.Solution], v.Ledgers[fill.ID], now)
		if item, needed := v.change(fill, state, now); needed && !waits {
			items = append(items, item)
		} else if until := dayOf(state.KeepsUntil.In(now.Location())); !state.KeepsUntil.IsZero() && withinDays(until, dayOf(now), keepingDays) {
			items = append(items, MorningItem{
				Key: fmt.Sprintf("fill:%d:keeping", fill.ID), Group: KeepingDates, Where: fill.LineName, Fill: fill.ID,
				What: fill.SolutionName + " will be too old", Why: "It keeps until " + weekday(until),
			})
		}
		if state.Verdict != chemistry.Exhausted && state.IdleTopUpML >= 1 {
			items = append(items, MorningItem{
				Key: fmt.Sprintf("fill:%d:idle", fill.ID), Group: IdleTopUps, Where: fill.LineName, Fill: fill.ID, Urgent: true,
				What: fmt.Sprintf("Add %.0f mL of replenisher to %s", state.IdleTopUpML, fill.SolutionName),
				Why:  "No film ran for two days or more (" + chemistry.IdleSource.String() + ")",
			})
		}
	}
	return items
}

// change says whether a fill has to be changed, now or soon.
func (v BenchView) change(fill Fill, state chemistry.State, now time.Time) (MorningItem, bool) {
	item := MorningItem{Key: fmt.Sprintf("fill:%d:change", fill.ID), Group: TanksToChange, Where: fill.LineName, Fill: fill.ID}
	outlook := v.Outlooks[fill.ID]
	soon := outlook.Cause != ReplenisherOut && withinDays(outlook.RunsOut.Earliest, dayOf(now), changeDays)
	switch {
	case state.Verdict == chemistry.Exhausted && v.Solutions[fill.Solution].Use == chemistry.OneShot:
		item.What, item.Why = "Dump "+fill.SolutionName, worstReasons(state)
	case state.Verdict == chemistry.Exhausted:
		item.What, item.Why, item.Urgent = "Change "+fill.SolutionName, worstReasons(state), true
	case state.Verdict == chemistry.DueSoon && outlook.Says == "":
		item.What, item.Why = "Change "+fill.SolutionName+" soon", worstReasons(state)
	case state.Verdict == chemistry.DueSoon || soon:
		item.What, item.Why = "Change "+fill.SolutionName+" soon", outlook.Says
	default:
		return MorningItem{}, false
	}
	return item, true
}

// worstReasons are the reasons for a fill's verdict.
func worstReasons(state chemistry.State) string {
	var texts []string
	for _, reason := range state.Reasons {
		if reason.Verdict == state.Verdict {
			texts = append(texts, reason.Text)
		}
	}
	return strings.Join(texts, "; ")
}

// toMix is what has to be mixed within the week, each replenisher once.
func (v BenchView) toMix(now time.Time) []MorningItem {
	var items []MorningItem
	for _, fill := range v.Fills {
		mix := v.Outlooks[fill.ID].Mix
		if mix == nil || mix.Ready != 0 || mix.ML == 0 || !withinDays(mix.By, dayOf(now), mixDays) {
			continue
		}
		item := MorningItem{Key: fmt.Sprintf("mix:fill:%d", fill.ID), Where: fill.LineName}
		what := fill.SolutionName
		if mix.Preparation == ReplenisherMixture {
			what += " replenisher"
			item.Key, item.Where = fmt.Sprintf("mix:replenisher:%d", mix.Solution), "all lines"
		}
		if slices.ContainsFunc(items, func(other MorningItem) bool { return other.Key == item.Key }) {
			continue
		}
		item.Group, item.ToMix, item.Urgent = MixesToMake, *mix, !mix.By.After(dayOf(now))
		item.What = fmt.Sprintf("Mix %d mL of %s %s", mix.ML, what, doneBy(mix.By, now))
		item.Why = v.Outlooks[fill.ID].Ends
		if short := v.short(*mix, now); short != "" {
			item.Why += ". " + short
		}
		items = append(items, item)
	}
	return items
}
