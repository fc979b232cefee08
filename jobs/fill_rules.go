package jobs

import "wetside/chemistry"

// The volumes a fill has, in mL.
const (
	MinVolumeML = 1
	MaxVolumeML = 1_000_000
)

// CheckPour decides whether a fill of a solution may be poured into a line:
// Invalid for an unknown solution or line and for an impossible volume, Refused
// where they do not belong together.
func (c Catalogue) CheckPour(solution SolutionID, line LineID, volumeML int) error {
	var wrong fieldErrors
	poured, ok := c.Solutions[solution]
	if !ok {
		wrong.add("solution", "there is no such solution")
	}
	into, ok := c.Lines[line]
	if !ok {
		wrong.add("line", "there is no such line")
	}
	if volumeML < MinVolumeML || volumeML > MaxVolumeML {
		wrong.add("volume_ml", "%d mL is no volume of a fill, allowed are %d to %d mL", volumeML, MinVolumeML, MaxVolumeML)
	}
	switch {
	case len(wrong) > 0:
		return wrong.err("this fill cannot be recorded")
	case !poured.Active:
		return Errorf(Refused, "%s is out of use", poured.Name)
	case !into.Active:
		return Errorf(Refused, "%s is out of use", into.Name)
	case !into.RunsProcess(poured.Process):
		return Errorf(Refused, "%s is for %s, which %s does not run", poured.Name, poured.Process, into.Name)
	}
	return nil
}

// CheckDump decides whether a fill may be dumped, given the open batches, and
// returns the reason as it is kept.
func (c Catalogue) CheckDump(fill Fill, open []Batch, reason string) (string, error) {
	if !fill.DumpedAt.IsZero() {
		return "", Errorf(WrongState, "this fill of %s was dumped already", fill.SolutionName)
	}
	for _, b := range open {
		if b.State == BatchDeveloping && b.GoesThrough(fill, c.Solutions[fill.Solution]) {
			return "", Errorf(WrongState, "%s is running in this fill of %s; finish or stop it first", b.name(), fill.SolutionName)
		}
	}
	var wrong fieldErrors
	reason = wrong.reason("reason", reason)
	return reason, wrong.err("the fill cannot be dumped like this")
}

// GoesThrough reports whether the film of a batch passes a fill of a solution:
// one in its line, of its process and, where it is a black-and-white developer,
// the one that the batch was put together for.
func (b Batch) GoesThrough(fill Fill, solution Solution) bool {
	if fill.Line != b.Line || solution.Process != b.Process || !fill.DumpedAt.IsZero() {
		return false
	}
	return solution.Family != chemistry.BWDeveloper || solution.ID == b.Solution
}

// Posting is what a batch brings into one fill.
type Posting struct {
	Fill   FillID
	Rolls  int
	AreaM2 float64
}

// Post works out what the ended batch brought into every fill it went through:
// the rolls that got wet, whatever became of them. Nothing is posted where none
// did.
func (w WetSide) Post(b Batch, moves []*RollMove) []Posting {
	wet := Posting{}
	for _, move := range moves {
		if move.Roll.State != Queued {
			wet.Rolls++
			wet.AreaM2 += move.Roll.Area()
		}
	}
	var postings []Posting
	for _, fill := range w.Fills {
		if wet.Rolls > 0 && b.GoesThrough(fill, w.Solutions[fill.Solution]) {
			wet.Fill = fill.ID
			postings = append(postings, wet)
		}
	}
	return postings
}
