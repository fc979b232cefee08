package jobs

import (
	"fmt"
	"strings"
	"time"

	"wetside/chemistry"
)

// MaxReason is the most characters a reason has.
const MaxReason = 500

// reason checks the words that a record keeps for why something was done, and
// returns them as they are kept.
func (f *fieldErrors) reason(field, value string) string {
	value = strings.TrimSpace(value)
	if value == "" {
		f.add(field, "a reason is missing")
	}
	f.line(field, value, MaxReason)
	return value
}

// CheckDraft refuses a draft that names no roll, or one twice.
func CheckDraft(draft BatchDraft) error {
	var wrong fieldErrors
	if len(draft.Rolls) == 0 {
		wrong.add("rolls", "a batch needs at least one roll")
	}
	seen := map[RollID]bool{}
	for i, id := range draft.Rolls {
		if seen[id] {
			wrong.add(fmt.Sprintf("rolls[%d]", i), "this roll is named twice")
		}
		seen[id] = true
	}
	return wrong.err("this batch cannot be made")
}

// planAhead is how far ahead a batch may be planned. What comes later on its
// line waits behind it, so a slip in the date would stop the line.
const planAhead = 31 * 24 * time.Hour

// Assemble makes a batch of queued rolls on the line of a draft. Process,
// developer and push follow from the rolls; it starts when the line's open
// batches have ended, or later when the draft says so. NotFound for a line that
// is not there, Stale for a roll that is no longer queued, Invalid for a start too
// far ahead, Refused for any rule of a [Load].
func (w WetSide) Assemble(draft BatchDraft, rolls []RollView, open []Batch, now time.Time) (Batch, error) {
	if err := CheckDraft(draft); err != nil {
		return Batch{}, err
	}
	line, ok := w.Lines[draft.Line]
	if !ok {
		return Batch{}, Errorf(NotFound, "there is no such line")
	}
	for _, roll := range rolls {
		if roll.State != Queued {
			return Batch{}, MovedMeanwhile(roll)
		}
	}
	tank, err := w.Tank(line, rolls[0].Process, rolls[0].Solution)
	if err != nil {
		return Batch{}, refusedFor(rolls[0].Roll, err)
	}
	load, err := w.Load(tank, rolls)
	if err != nil {
		return Batch{}, err
	}
	if latest := now.Add(planAhead); draft.PlannedStart.After(latest) {
		return Batch{}, InvalidField("planned_start", "a batch is planned for the next %d days, by %s at the latest",
			int(planAhead.Hours()/24), latest.In(w.Lab.Zone()).Format("2 January 2006"))
	}
	batch := load.batch()
	batch.State = BatchAccepted
	batch.PlannedStart = w.freeFrom(line.ID, open, now)
	if draft.PlannedStart.After(batch.PlannedStart) {
		batch.PlannedStart = draft.PlannedStart
	}
	return batch, nil
}

// batch returns the load as a batch that has no key, state or time yet.
func (l Load) batch() Batch {
	return Batch{
		Line: l.Tank.Line.ID, LineName: l.Tank.Line.Name, Process: l.Tank.Process, Solution: l.Tank.Developer.ID,
		Push: l.Push, Develop: l.Development.Seconds, TempC: l.Tank.TempC, Rolls: l.Rolls,
	}
}

// takes is how long a load holds the line.
func (l Line) takes(develop int) time.Duration {
	return time.Duration(l.Turnaround+develop) * time.Second
}

// Reload is a batch with other rolls in it: its push and developing time follow
// from them. The process and the developer stay.
func (w WetSide) Reload(b Batch, rolls []RollView) (Batch, error) {
	load, err := w.LoadOf(b, rolls, 0)
	if err != nil {
		return Batch{}, err
	}
	b.Rolls, b.Push = load.Rolls, load.Push
	b.Develop, b.TempC = load.Development.Seconds, load.Tank.TempC
	return b, nil
}

// told moves a roll and says which batch it was about.
func (b Batch) told(move *RollMove, next RollState, kind string) error {
	if err := move.To(next, kind, ""); err != nil {
		return err
	}
	move.Events[len(move.Events)-1].Batch = b.ID
	return nil
}

// LoadOf checks rolls against the rules for a batch, at a developer temperature
// in °C; 0 is the developer's working temperature.
func (w WetSide) LoadOf(b Batch, rolls []RollView, developerC float64) (Load, error) {
	tank, err := w.Tank(w.Lines[b.Line], b.Process, b.Solution)
	if err != nil {
		return Load{}, err
	}
	if developerC != 0 && b.Process == chemistry.BW {
		tank.TempC = developerC
	}
	return w.Load(tank, rolls)
}

// name is what a batch is called.
func (b Batch) name() string { return fmt.Sprintf("batch %d", b.ID) }

// CheckVersion is Stale when a batch has changed since somebody looked at it. A
// version of 0 is not compared.
func (b Batch) CheckVersion(version int) error {
	if version == 0 || version == b.Version {
		return nil
	}
	return Errorf(Stale, "somebody else changed %s in the meantime: it is %s now; look at it again", b.name(), b.State)
}

// CheckBecome is WrongState when a batch cannot move to a state.
func (b Batch) CheckBecome(next BatchState) error {
	if b.State.CanBecome(next) {
		return nil
	}
	return Errorf(WrongState, "%s is %s and cannot become %s", b.name(), b.State, next)
}

// MovedMeanwhile tells that somebody else moved a roll, and where it is now.
func MovedMeanwhile(roll RollView) *Error {
	where := string(roll.State)
	if roll.Batch != 0 && (roll.State == Batched || roll.State == Developing) {
		where = fmt.Sprintf("%s, in batch %d", where, roll.Batch)
	}
	return Errorf(Stale, "somebody else moved %s in the meantime: it is %s now", nameOf(roll.Roll), where)
}
