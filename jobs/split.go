package jobs

import (
	"fmt"
	"slices"
)

// Split is a part of a batch that somebody wants to run by itself.
type Split struct {
	Batch   BatchID
	Version int // of the batch, as it was looked at; 0 is not compared
	Rolls   []RollID
	Line    LineID // 0 for the line of the batch
}

// Draft decides whether the part may leave its batch, and returns the batch that
// is to be made of it: Invalid for rolls that are missing, named twice or not in
// the batch, Stale and WrongState as for a move. One roll at least stays, or
// there would be nothing to split.
func (s Split) Draft(from Batch) (BatchDraft, error) {
	if err := from.CheckVersion(s.Version); err != nil {
		return BatchDraft{}, err
	}
	if from.State != BatchAccepted {
		return BatchDraft{}, fixedRolls(from)
	}
	draft := BatchDraft{Line: s.Line, Rolls: s.Rolls}
	if draft.Line == 0 {
		draft.Line = from.Line
	}
	if err := CheckDraft(draft); err != nil {
		return BatchDraft{}, err
	}
	var wrong fieldErrors
	for i, id := range s.Rolls {
		if !slices.ContainsFunc(from.Rolls, func(r RollView) bool { return r.ID == id }) {
			wrong.add(fmt.Sprintf("rolls[%d]", i), "there is no such roll in %s", from.name())
		}
	}
	if len(wrong) == 0 && len(s.Rolls) == len(from.Rolls) {
		wrong.add("rolls", "at least one roll stays in %s; cancel it to plan all of them anew", from.name())
	}
	return draft, wrong.err("this batch cannot be split like this")
}
