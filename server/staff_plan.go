package server

import (
	"cmp"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// picksListed is how many queued rolls are offered for a batch made by hand.
const picksListed = 200

// plan shows what the plan proposes, and the open batches.
func (p staffPages) plan(c echo.Context) error { return p.showPlan(c, typed{}) }

func (p staffPages) showPlan(c echo.Context, t typed) error {
	ctx := c.Request().Context()
	proposal, err := p.services.Batches.Propose(ctx)
	if err != nil {
		return err
	}
	open, err := p.services.Batches.Batches(ctx, jobs.BatchQuery{Open: true, Limit: 100})
	if err != nil {
		return err
	}
	queued, err := p.services.Rolls.Rolls(ctx, jobs.RollQuery{States: []jobs.RollState{jobs.Queued}, Limit: picksListed})
	if err != nil {
		return err
	}
	counts, err := p.services.Rolls.CountRolls(ctx)
	if err != nil {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	slices.SortStableFunc(open, func(a, b jobs.Batch) int {
		return cmp.Or(a.PlannedStart.Compare(b.PlannedStart), cmp.Compare(a.ID, b.ID))
	})
	d := p.desk(c)
	page := &web.PlanPage{
		Frame:  web.Frame{Title: "Plan", Problems: t.wrong.problems()},
		At:     d.moment(proposal.At),
		Proven: proposal.Proven,
		Queued: counts[jobs.Queued],
		Hand: web.ActionForm{Path: "/plan/batch", Button: "Make this batch",
			Fields: []web.Field{required(t.field(web.Select, "hand.line", "Line", "", lineChoices(catalogue)...)), {Name: "hand.rolls", Error: t.wrong.of("hand.rolls")}}},
		Picks:    d.lines(queued),
		MorePick: max(counts[jobs.Queued]-len(queued), 0),
		Chart:    d.timeline(proposal, open, catalogue),
	}
	page.Hand.Open = t.values.Has("hand.line")
	for i := range page.Picks {
		page.Picks[i].Ticked = slices.Contains(t.values["hand.rolls"], strconv.FormatInt(page.Picks[i].ID, 10))
	}
	for i, batch := range proposal.Batches {
		page.Proposed = append(page.Proposed, d.proposed(i, batch, proposal.Late, catalogue))
	}
	for _, left := range proposal.Left {
		page.Left = append(page.Left, web.LeftLine{Roll: d.line(left.Roll), Reason: sentence(left.Reason)})
	}
	for _, batch := range open {
		work := d.batchWork(batch, open, typed{}, catalogue)
		tellApart(&work)
		work.First = sentence(proposal.First[batch.ID])
		page.Open = append(page.Open, work)
	}
	return p.show(c, t.wrong.status(), page)
}

// tellApart gives the fields of a batch ids of their own among many batches.
func tellApart(work *web.BatchWork) {
	in := "b" + strconv.FormatInt(work.ID, 10) + "."
	for i := range work.Targets {
		work.Targets[i].In = in
	}
	for _, form := range work.Forms {
		for i := range form.Fields {
			form.Fields[i].In = in
		}
	}
}

// proposed is a batch of the plan with everything needed to judge it.
func (d desk) proposed(i int, batch jobs.ProposedBatch, late []jobs.RollID, c jobs.Catalogue) web.Proposed {
	line := web.Proposed{
		BatchLine: d.batchLine(batch.Batch, c), Index: i, LineKey: int64(batch.Line),
		StartAt: batch.PlannedStart.Format(time.RFC3339), Why: sentence(batch.Why),
		First: sentence(batch.First),
	}
	line.State = web.Chip{Class: "wait", Word: "Proposed"}
	line.End, line.Late = d.moment(batch.End), false
	keys := make([]string, len(batch.Rolls))
	for j, roll := range batch.Rolls {
		keys[j] = keyText(roll.ID)
		line.Rolls[j].Late = slices.Contains(late, roll.ID)
		if line.Rolls[j].Late {
			line.LateN++
		}
	}
	line.Keys = strings.Join(keys, ",")
	return line
}

func lineChoices(c jobs.Catalogue) []web.Option {
	options := []web.Option{{Label: "Choose the line"}}
	for _, line := range activeLines(c) {
		names := make([]string, len(line.Runs))
		for i, run := range line.Runs {
			names[i] = string(run.Process)
		}
		options = append(options, web.Option{
			Value: keyText(line.ID), Label: line.Name + ": " + strings.Join(names, ", ") + ", " + counted(line.Capacity, "unit", "units"),
		})
	}
	return options
}

func activeLines(c jobs.Catalogue) []jobs.Line {
	var lines []jobs.Line
	for _, line := range c.Lines {
		if line.Active {
			lines = append(lines, line)
		}
	}
	slices.SortFunc(lines, func(a, b jobs.Line) int { return cmp.Compare(a.ID, b.ID) })
	return lines
}

// acceptForm carries the proposal that was looked at, so that what is accepted
// is what was seen.
type acceptForm struct {
	Do      string      `form:"do"`
	Batches []draftForm `form:"batches" most:"500"`
}

type draftForm struct {
	Line  string `form:"line"`
	Rolls string `form:"rolls"`
	Start string `form:"start"`
}

// draft is the batch that a form describes; Invalid when the form is broken.
func (f draftForm) draft() (jobs.BatchDraft, error) {
	var wrong faults
	draft := jobs.BatchDraft{Line: jobs.LineID(key(f.Line, "", &wrong))}
	for text := range strings.SplitSeq(f.Rolls, ",") {
		draft.Rolls = append(draft.Rolls, jobs.RollID(key(text, "", &wrong)))
	}
	start, err := time.Parse(time.RFC3339, f.Start)
	if err != nil || len(wrong.list) > 0 {
		return draft, jobs.Errorf(jobs.Invalid, "this proposal cannot be read; look at the plan again")
	}
	draft.PlannedStart = start
	return draft, nil
}

// accept makes batches of one proposal, or of all of them. Each stands by
// itself: what cannot be made any more is named, the others are made.
func (p staffPages) accept(c echo.Context) error {
	var form acceptForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	chosen := form.Batches
	if form.Do != "all" {
		i, err := strconv.Atoi(form.Do)
		if err != nil || i < 0 || i >= len(form.Batches) {
			return jobs.Errorf(jobs.Invalid, "this proposal is not on the page; look at the plan again")
		}
		chosen = form.Batches[i : i+1]
	}
	var made []string
	var wrong faults
	for _, one := range chosen {
		draft, err := one.draft()
		var batch jobs.Batch
		if err == nil {
			batch, err = p.services.Batches.Accept(c.Request().Context(), actorOf(c), draft)
		}
		if err == nil {
			made = append(made, "batch "+keyText(batch.ID))
			continue
		}
		found, ok := staffFaults(err)
		if !ok && jobs.CodeOf(err) != jobs.NotFound {
			return err
		}
		if !ok {
			found = faults{[]jobs.FieldError{{Message: problemOf(err).Detail}}, http.StatusNotFound}
		}
		wrong.list, wrong.code = append(wrong.list, found.list...), found.code
	}
	notice := ""
	if len(made) > 0 {
		notice = "Accepted: " + listWords(made) + "."
	}
	if len(wrong.list) == 0 {
		if len(made) == 0 {
			notice = "There was nothing to accept."
		}
		return p.done(c, "/plan", notice)
	}
	p.sessions.Put(c.Request().Context(), noticeKey, notice)
	return p.showPlan(c, typed{wrong: wrong})
}

// acceptByHand makes a batch of the ticked rolls. Every rule is checked; a
// refusal stands beside the form with the ticks kept.
func (p staffPages) acceptByHand(c echo.Context) error {
	var form struct {
		Line string `form:"hand.line"`
	}
	if err := readForm(c, &form); err != nil {
		return err
	}
	var wrong faults
	draft := jobs.BatchDraft{Line: jobs.LineID(key(form.Line, "hand.line", &wrong))}
	if draft.Line == 0 {
		wrong.add("hand.line", "choose the line")
	}
	keys, err := ticked(c, "hand.rolls")
	if err != nil || len(keys) == 0 {
		wrong.add("hand.rolls", "tick the rolls that go in")
	}
	for _, key := range keys {
		draft.Rolls = append(draft.Rolls, jobs.RollID(key))
	}
	if len(wrong.list) > 0 {
		return p.showPlan(c, typedIn(c, wrong))
	}
	batch, err := p.services.Batches.Accept(c.Request().Context(), actorOf(c), draft)
	if err == nil {
		return p.done(c, batchPath(batch.ID), "Batch "+keyText(batch.ID)+" is made: "+counted(len(batch.Rolls), "roll", "rolls")+" on "+batch.LineName+".")
	}
	wrong, ok := staffFaults(err)
	if !ok {
		return err
	}
	for i := range wrong.list {
		wrong.list[i].Field = "hand.rolls"
	}
	return p.showPlan(c, typedIn(c, wrong))
}
