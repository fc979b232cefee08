package jobs

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"time"

	"wetside/chemistry"
	"wetside/jobs/plan"
)

// Propose plans queued rolls around the open batches, from now, or from when
// the lab next opens. First come the rolls due before the lab closes that day;
// later ones fill room in their batches. What is left of the later rolls is
// planned behind them as far as it fits before the lab closes, because idle
// lines help nobody; the words of such a batch say that it may wait. When
// nothing needs the rest of the day and nothing fits into it, the next day is
// planned.
func (w WetSide) Propose(queued []RollView, open []Batch, now time.Time) (Proposal, error) {
	opens, closes := w.Lab.workingDay(now)
	p, err := w.proposeDay(queued, open, now, opens, closes)
	if err == nil && p.full && len(p.out.Batches) == 0 {
		opens, closes = w.Lab.workingDay(closes)
		p, err = w.proposeDay(queued, open, now, opens, closes)
	}
	if err != nil {
		return Proposal{}, err
	}
	return p.out, p.freshFills(open)
}

// proposeDay plans a day, or what is left of it.
func (w WetSide) proposeDay(queued []RollView, open []Batch, now, opens, closes time.Time) (*proposer, error) {
	p := &proposer{
		WetSide: w, now: now, opens: opens, closes: closes, free: map[LineID]time.Time{}, rolls: map[string]RollView{},
		out: Proposal{At: now, From: opens, Proven: true},
	}
	for _, line := range w.Lines {
		p.free[line.ID] = w.freeFrom(line.ID, open, opens)
		p.out.Proven = p.out.Proven && p.free[line.ID].Equal(opens)
	}
	due := p.sortOut(queued)
	later, err := p.plan(due, closes)
	if err != nil {
		return nil, err
	}
	if err := p.planLater(later); err != nil {
		return nil, err
	}
	p.tidy()
	return p, nil
}

// workingDay returns from when and until when a plan made now runs, in the lab's
// time zone: today's hours, or those of the next open day once today's are over
// or where the lab is closed today.
func (l Lab) workingDay(now time.Time) (opens, closes time.Time) {
	today, days := l.date(now), 0
	if !l.openOn(today) || !now.Before(l.hourOf(now, 0, l.ClosesAt)) {
		days = int(l.openDate(today, 1) - today)
	}
	if opens = l.hourOf(now, days, l.OpensAt); opens.Before(now) {
		opens = now
	}
	return opens, l.hourOf(now, days, l.ClosesAt)
}

// PlannedFrom is from when a plan made now runs: now, or when the lab next opens.
func (l Lab) PlannedFrom(now time.Time) time.Time {
	opens, _ := l.workingDay(now)
	return opens
}

// proposer is a proposal in the making.
type proposer struct {
	WetSide
	now, opens, closes time.Time
	free               map[LineID]time.Time
	rolls              map[string]RollView // by the key that the plan knows them by
	full               bool                // a batch did not fit before the lab closes
	out                Proposal
}

// leave keeps a roll out of the proposal, with the reason.
func (p *proposer) leave(roll RollView, reason string) {
	p.out.Left = append(p.out.Left, LeftOut{roll, reason})
}

// sortOut makes the rolls ready to plan, and leaves out those that no tank may
// take or no time is known for.
func (p *proposer) sortOut(queued []RollView) []plan.Roll {
	var ready []plan.Roll
	for _, roll := range queued {
		own, err := p.planningTime(roll.Roll)
		if err != nil {
			p.leave(roll, err.Error())
			continue
		}
		id := strconv.FormatInt(int64(roll.ID), 10)
		p.rolls[id] = roll
		ready = append(ready, plan.Roll{
			ID: id, Process: roll.Process, Solution: strconv.FormatInt(int64(roll.Solution), 10), Push: roll.Push,
			Format: roll.Format, DevelopS: plan.Window{own.least, own.most}, Due: roll.Due,
		})
	}
	return ready
}

// planningTime is the window that a roll is planned with. Lines differ: rotary
// agitation shortens a time and a used fill lengthens it, both for every roll of
// a developer alike. So the slowest of the lines stands for all, no promise
// rests on a faster one, and each batch gets the time of its own line later.
func (p *proposer) planningTime(roll Roll) (window, error) {
	if err := chemistry.Compatible(chemistry.Film{Process: roll.Process, Remjet: roll.Remjet}, roll.Process); err != nil {
		return window{}, err
	}
	usual, err := p.UsualTime(roll)
	if err != nil {
		return window{}, err
	}
	slowest := usual.Seconds
	for i, line := range p.linesFor(roll.Process) {
		tank, err := p.Tank(line, roll.Process, roll.Solution)
		if err != nil {
			return window{}, err
		}
		own, err := p.DevelopmentFor(roll, tank)
		if err != nil {
			continue // the fill in this line is to blame, which is said of film planned for it
		}
		if i == 0 || own.Seconds > slowest {
			slowest = own.Seconds
		}
	}
	return p.Lab.windowOf(roll.Process, slowest), nil
}

// linesFor lists the lines in use that run a process, in the order of their
// keys.
func (p *proposer) linesFor(process chemistry.Process) []Line {
	var lines []Line
	for _, id := range slices.Sorted(maps.Keys(p.Lines)) {
		if line := p.Lines[id]; line.Active && line.RunsProcess(process) {
			lines = append(lines, line)
		}
	}
	return lines
}

// plan solves the day for some rolls, puts its batches behind what the lines
// hold already, and returns the rolls that are due later and found no room.
func (p *proposer) plan(rolls []plan.Roll, until time.Time) ([]plan.Roll, error) {
	solved, err := plan.Solve(plan.Input{
		Start: p.opens, Until: until, Combine: p.combine(), Lines: p.planLines(), Rolls: rolls,
	})
	if err != nil {
		return nil, fmt.Errorf("propose: %w", err)
	}
	lateBefore := len(p.out.Late)
	for _, unplaced := range solved.Unplaced {
		p.leave(p.rolls[unplaced.Roll], unplaced.Reason)
	}
	for _, batch := range solved.Batches {
		p.place(batch, until)
	}
	// The proof is the plan's: it holds while the lines' own times have not made
	// more rolls late than it says.
	p.out.Proven = p.out.Proven && solved.Proven && len(p.out.Late)-lateBefore <= len(solved.Late)
	var later []plan.Roll
	for _, roll := range rolls {
		if _, found := slices.BinarySearch(solved.Later, roll.ID); found {
			later = append(later, roll)
		}
	}
	return later, nil
}

func (p *proposer) combine() []chemistry.Process {
	if p.Lab.CombineBW {
		return []chemistry.Process{chemistry.BW}
	}
	return nil
}

func (p *proposer) planLines() []plan.Line {
	var lines []plan.Line
	for _, id := range slices.Sorted(maps.Keys(p.Lines)) {
		line := p.Lines[id]
		if !line.Active {
			continue
		}
		planned := plan.Line{
			ID: strconv.FormatInt(int64(id), 10), Capacity: line.Capacity, Takes: line.Takes, TurnaroundS: line.Turnaround,
		}
		for _, run := range line.Runs {
			planned.Processes = append(planned.Processes, run.Process)
		}
		lines = append(lines, planned)
	}
	return lines
}

// planLater plans what the day's own batches left over.
func (p *proposer) planLater(later []plan.Roll) error {
	if len(later) == 0 {
		return nil
	}
	until := slices.MaxFunc(later, func(a, b plan.Roll) int { return a.Due.Compare(b.Due) }).Due
	_, err := p.plan(later, until)
	return err
}

// place puts a planned batch on its line, as soon as the line is free. What the
// day still needs and would not be through before the lab closes waits for the
// morning.
func (p *proposer) place(planned plan.Batch, until time.Time) {
	key, _ := strconv.ParseInt(planned.Line, 10, 64)
	line := p.Lines[LineID(key)]
	rolls := make([]RollView, len(planned.Rolls))
	for i, id := range planned.Rolls {
		rolls[i] = p.rolls[id]
	}
	for _, load := range p.loadsOn(line, rolls) {
		p.placeLoad(load, until)
	}
}

func (p *proposer) placeLoad(load Load, until time.Time) {
	line := load.Tank.Line
	batch := ProposedBatch{Batch: load.batch()}
	takes := line.takes(batch.Develop)
	batch.End = p.Lab.endOf(p.free[line.ID], takes)
	batch.PlannedStart = batch.End.Add(-takes)
	if until.After(p.closes) && batch.End.After(p.closes) {
		p.full = true
		for _, roll := range load.Rolls {
			p.leave(roll, "due later, and the lines are taken until the lab closes at "+p.clock(p.closes))
		}
		return
	}
	p.free[line.ID] = batch.End
	for _, roll := range load.Rolls {
		if batch.End.After(roll.Due) {
			p.out.Late = append(p.out.Late, roll.ID)
		}
	}
	batch.Why = p.why(load, batch.End)
	p.out.Batches = append(p.out.Batches, batch)
}

// loadsOn returns rolls that were planned together as they can run on their
// line: in one load, nearly always. Times are rounded, so two that just met on
// the slowest line may miss each other on this one, and then run one after the
// other.
func (p *proposer) loadsOn(line Line, rolls []RollView) []Load {
	if load, err := p.loadOn(line, rolls); err == nil {
		return []Load{load}
	}
	p.out.Proven = false
	var loads []Load
next:
	for _, roll := range rolls {
		for i, load := range loads {
			if more, err := p.loadOn(line, append(slices.Clone(load.Rolls), roll)); err == nil {
				loads[i] = more
				continue next
			}
		}
		alone, err := p.loadOn(line, []RollView{roll})
		if err != nil {
			p.leave(roll, err.Error())
			continue
		}
		loads = append(loads, alone)
	}
	return loads
}

func (p *proposer) loadOn(line Line, rolls []RollView) (Load, error) {
	tank, err := p.Tank(line, rolls[0].Process, rolls[0].Solution)
	if err != nil {
		return Load{}, err
	}
	return p.Load(tank, rolls)
}

// tidy sorts the proposal into the order in which people read it.
func (p *proposer) tidy() {
	slices.SortStableFunc(p.out.Batches, func(a, b ProposedBatch) int {
		return cmp.Or(a.PlannedStart.Compare(b.PlannedStart), cmp.Compare(a.Line, b.Line))
	})
	slices.SortStableFunc(p.out.Left, func(a, b LeftOut) int {
		return cmp.Or(a.Roll.Due.Compare(b.Roll.Due), cmp.Compare(a.Roll.ID, b.Roll.ID))
	})
	slices.Sort(p.out.Late)
}
