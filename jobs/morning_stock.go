package jobs

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"wetside/chemistry"
)

// short says which parts are too little for what is to be mixed; "" where there
// is enough of all, or nobody keeps the stock on record.
func (v BenchView) short(mix ToMix, now time.Time) string {
	if len(v.Lots) == 0 {
		return ""
	}
	var texts []string
	for _, part := range v.Solutions[mix.Solution].Parts {
		if part.Preparation != mix.Preparation {
			continue
		}
		left, needs := 0.0, part.AmountPerL*float64(mix.ML)/1000
		for _, lot := range v.Lots {
			if lot.of(part.Name) && !lot.Expired(now) {
				left += lot.Left
			}
		}
		if left < needs {
			texts = append(texts, fmt.Sprintf("Of %s, %s %s are needed and %s are left.", part.Name, chemistry.FormatAmount(needs), part.Unit, chemistry.FormatAmount(left)))
		}
	}
	return strings.Join(texts, " ")
}

// oldMixes are mixes that are too old, or soon will be.
func (v BenchView) oldMixes(now time.Time) []MorningItem {
	var items []MorningItem
	for _, mix := range v.Mixes {
		until := mix.KeepsUntil(v.Solutions[mix.Solution], now.Location())
		if mix.LeftML <= 0 || until.IsZero() || !withinDays(dayOf(until.In(now.Location())), dayOf(now), keepingDays) {
			continue
		}
		item := MorningItem{
			Key: fmt.Sprintf("mix:%d", mix.ID), Group: KeepingDates, What: mix.Name() + ", will be too old", Mix: mix.ID,
			Why: fmt.Sprintf("%.0f mL keep until %s", mix.LeftML, weekday(dayOf(until.In(now.Location())))),
		}
		if !now.Before(until) {
			item.What = "Dump " + mix.Name()
			item.Why = fmt.Sprintf("%.0f mL kept until %s", mix.LeftML, weekday(dayOf(until.In(now.Location()))))
		}
		items = append(items, item)
	}
	return items
}

// oldLots are lots that have expired, or soon will.
func (v BenchView) oldLots(now time.Time) []MorningItem {
	var items []MorningItem
	for _, lot := range v.Lots {
		if lot.Left <= 0 || !withinDays(lot.ExpiresOn, dayOf(now), expiryDays) {
			continue
		}
		item := MorningItem{
			Key: fmt.Sprintf("lot:%d", lot.ID), Group: KeepingDates, What: lot.Name() + ", expires", Lot: lot.ID,
			Why: fmt.Sprintf("%s %s may be used until %s", chemistry.FormatAmount(lot.Left), lot.Unit, weekday(lot.ExpiresOn)),
		}
		if lot.Expired(now) {
			item.What = "Put " + lot.Name() + " away"
			item.Why = fmt.Sprintf("%s %s expired on %s and may not be mixed", chemistry.FormatAmount(lot.Left), lot.Unit, weekday(lot.ExpiresOn))
		}
		items = append(items, item)
	}
	return items
}

// oldBoxes are boxes of control strips that end, by their date or their count.
func (v BenchView) oldBoxes(now time.Time) []MorningItem {
	boxes, lines := map[StripBoxID]StripBox{}, map[StripBoxID]int{}
	for _, line := range v.Watched {
		boxes[line.Box.ID] = line.Box
		lines[line.Box.ID]++
	}
	var items []MorningItem
	for _, id := range slices.Sorted(maps.Keys(boxes)) {
		box := boxes[id]
		if withinDays(box.ExpiresOn, dayOf(now), expiryDays) {
			items = append(items, MorningItem{
				Key: fmt.Sprintf("box:%d:expiry", id), Group: KeepingDates, Box: id, What: fmt.Sprintf("%s control strips, box %s", box.Process, box.Number),
				Why: "Good until " + weekday(box.ExpiresOn) + ": cross the next box over while this one lasts",
			})
		}
		if left, _ := box.Left(); box.CrossOverDue(lines[id]) {
			items = append(items, MorningItem{
				Key: fmt.Sprintf("box:%d:left", id), Group: StockLow, Box: id, What: fmt.Sprintf("%s control strips, box %s", box.Process, box.Number),
				Why: fmt.Sprintf("%s left: cross the next box over now", counted(left, "strip")),
			})
		}
	}
	return items
}

// lowParts are parts to order. A lab that keeps no stock on record is not asked
// for any.
func (v BenchView) lowParts(now time.Time) []MorningItem {
	if len(v.Lots) == 0 {
		return nil
	}
	var items []MorningItem
	low := v.LowParts(v.Lots, now)
	for _, part := range slices.Sorted(maps.Keys(low)) {
		if !low[part] {
			continue
		}
		name, unit, left, used := part, Millilitres, 0.0, 0.0
		for _, lot := range v.Lots {
			if lot.of(part) {
				name, unit, used = lot.Part, lot.Unit, used+lot.UsedLately
				if !lot.Expired(now) {
					left += lot.Left
				}
			}
		}
		for _, id := range slices.Sorted(maps.Keys(v.Solutions)) {
			for _, asked := range v.Solutions[id].Parts {
				if strings.EqualFold(asked.Name, part) {
					name, unit = asked.Name, asked.Unit
				}
			}
		}
		items = append(items, MorningItem{
			Key: "part:" + part, Group: StockLow, What: "Order " + name, Part: name,
			Why: fmt.Sprintf("%s %s are left that may be used; %s went into mixes in four weeks", chemistry.FormatAmount(left), unit, chemistry.FormatAmount(used)),
		})
	}
	return items
}

// fullContainers are the containers that a hauler should collect.
func (v BenchView) fullContainers() []MorningItem {
	var items []MorningItem
	for _, id := range slices.Sorted(maps.Keys(v.Containers)) {
		c := v.Containers[id]
		if c.VolumeML == 0 || c.HoldsML < nearlyFull*float64(c.VolumeML) {
			continue
		}
		share := c.HoldsML / float64(c.VolumeML)
		items = append(items, MorningItem{
			Key: fmt.Sprintf("container:%d", id), Group: WasteNearFull, What: "Have " + c.Name + " collected", Container: id, Urgent: share >= brimFull,
			Why: fmt.Sprintf("It holds %.0f of %d mL, %.0f %%", c.HoldsML, c.VolumeML, 100*share),
		})
	}
	return items
}
