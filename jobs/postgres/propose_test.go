package postgres

import (
	"context"
	"testing"

	"wetside/jobs"
)

// What is proposed can be accepted as it is, until nothing is left to propose.
func TestProposalsAreAccepted(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.queued(newRoll(sedge160), newRoll(sedge640), pushed(sedge160, 1), newRoll(marl400), pushed(marl400, 1),
		newRoll(tealSlide), newRoll(reedmace), newRoll(reedmaceBare))
	before := lab.count("SELECT count(*) FROM events")
	proposal, err := lab.batches.Propose(ctx)
	lab.must(err)
	if n := lab.count("SELECT count(*) FROM events") + lab.count("SELECT count(*) FROM batches") - before; n != 0 {
		t.Errorf("a proposal left %d rows behind", n)
	}
	if len(proposal.Batches) != 6 || len(proposal.Left) != 0 || !proposal.At.Equal(fixtureStart) {
		t.Fatalf("got %d batches, left %+v", len(proposal.Batches), proposal.Left)
	}
	for _, proposed := range proposal.Batches {
		d := jobs.BatchDraft{Line: proposed.Line, PlannedStart: proposed.PlannedStart}
		for _, roll := range proposed.Rolls {
			d.Rolls = append(d.Rolls, roll.ID)
		}
		b, err := lab.batches.Accept(ctx, ada, d)
		lab.must(err)
		if b.Develop != proposed.Develop || !b.PlannedStart.Equal(proposed.PlannedStart) || b.Process != proposed.Process {
			t.Errorf("accepted %+v of %+v", b, proposed)
		}
	}
	proposal, err = lab.batches.Propose(ctx)
	lab.must(err)
	if len(proposal.Batches)+len(proposal.Left) != 0 {
		t.Errorf("still proposed: %+v", proposal)
	}
}
