package plan

import "slices"

// section is what of a day can be planned by itself: families and the lines that
// they share with each other and with nobody else.
type section struct {
	*day
	line, roll []int // where its lines and rolls stand in the whole day
}

// sections splits a day, without families of which nothing is due by its end:
// they get no batch. Late rolls, batches and riders of the sections add up, and
// the last batch of all is the last of one section, so that the best plans of the
// sections are together the best plan of the day.
func (d *day) sections() []section {
	of := make([]int, len(d.lines)) // the section of each line
	for l := range of {
		of[l] = l
	}
	for _, f := range d.families {
		if !d.rolls[f.rolls[0]].early {
			continue
		}
		first := of[f.lines[0].line]
		for _, on := range f.lines[1:] {
			old := of[on.line]
			for l := range of {
				if of[l] == old {
					of[l] = first
				}
			}
		}
	}
	var sections []section
	for l := range d.lines {
		if p := d.section(func(line int) bool { return of[line] == l }); len(p.families) > 0 {
			sections = append(sections, p)
		}
	}
	return sections
}

// section picks the lines of a section and the families that run on them.
func (d *day) section(has func(line int) bool) section {
	p := section{day: &day{in: d.in, formats: d.formats}}
	lineAt := make([]int, len(d.lines))
	for l, line := range d.lines {
		if has(l) {
			lineAt[l] = len(p.lines)
			p.lines, p.line = append(p.lines, line), append(p.line, l)
		}
	}
	familyAt := make([]int, len(d.families))
	for i, f := range d.families {
		familyAt[i] = -1
		if d.rolls[f.rolls[0]].early && has(f.lines[0].line) {
			familyAt[i] = len(p.families)
			f.rolls, f.lines = nil, slices.Clone(f.lines)
			for k := range f.lines {
				f.lines[k].line = lineAt[f.lines[k].line]
			}
			p.families = append(p.families, f)
		}
	}
	for r, roll := range d.rolls {
		if f := familyAt[roll.family]; f >= 0 {
			roll.family = f
			p.families[f].rolls = append(p.families[f].rolls, len(p.rolls))
			p.rolls, p.roll = append(p.rolls, roll), append(p.roll, r)
		}
	}
	p.trim()
	return p
}

// inDay turns a draft of the section into loads of the whole day. A load's family
// is that of its first roll.
func (p section) inDay(d *day, best draft) draft {
	whole := slices.Clone(best)
	for i := range whole {
		load := &whole[i]
		load.line = p.line[load.line]
		load.rolls = slices.Clone(load.rolls)
		for k, r := range load.rolls {
			load.rolls[k] = p.roll[r]
		}
		load.family = d.rolls[load.rolls[0]].family
	}
	return whole
}
