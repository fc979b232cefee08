package server

import (
	"context"
	"strings"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

func apiStripBox(b jobs.StripBox) api.StripBox {
	box := api.StripBox{
		Id: b.ID, Process: b.Process, Number: b.Number, Aim: jobs.DensitiesOf(b.Process, b.Aim), CrossedOverFrom: b.Basis.Crossed,
		Limits: []api.StripLimit{}, LimitsSource: b.Limits.Source.String(), Strips: b.Strips, Read: b.Read, OpenedAt: b.OpenedAt,
		InUse: b.Active, Version: b.Version,
	}
	for _, parameter := range jobs.StripParameters(b.Process) {
		if limit, judged := b.Limits.Limits[parameter]; judged {
			box.Limits = append(box.Limits, api.StripLimit{
				Parameter: api.StripLimitParameter(jobs.LimitNames[parameter]), Action: limit.Action, Control: limit.Control,
			})
		}
	}
	if !b.ExpiresOn.IsZero() {
		box.ExpiresOn = b.ExpiresOn.Format(time.DateOnly)
	}
	return box
}

// limitsOf reads sent limits; none at all stand for those that a box of the
// process begins with.
func limitsOf(process chemistry.Process, sent []api.StripLimit, source string) chemistry.StripLimits {
	if len(sent) == 0 && source == "" {
		return jobs.StartLimits(process)
	}
	limits := chemistry.StripLimits{
		Limits: map[chemistry.StripParameter]chemistry.StripLimit{}, Source: chemistry.Source{Text: source},
	}
	for _, one := range sent {
		for parameter, name := range jobs.LimitNames {
			if name == string(one.Parameter) {
				limits.Limits[parameter] = chemistry.StripLimit{Action: one.Action, Control: one.Control}
			}
		}
	}
	return limits
}

// calendarDay reads a date; none is zero.
func calendarDay(text, field string, wrong *faults) time.Time {
	if text = strings.TrimSpace(text); text == "" {
		return time.Time{}
	}
	day, err := time.Parse(time.DateOnly, text)
	if err != nil || day.Year() < 2000 || day.Year() > 2199 {
		wrong.add(field, "%q is no date; one is written 2026-09-30", text)
		return time.Time{}
	}
	return day
}

// ListStripBoxes lists the boxes, those in use first.
func (a apiCalls) ListStripBoxes(ctx context.Context, _ api.ListStripBoxesRequestObject) (api.ListStripBoxesResponseObject, error) {
	boxes, err := a.services.Strips.Boxes(ctx)
	return api.ListStripBoxes200JSONResponse{Boxes: each(boxes, apiStripBox)}, err
}

// GetStripBox shows one box.
func (a apiCalls) GetStripBox(ctx context.Context, request api.GetStripBoxRequestObject) (api.GetStripBoxResponseObject, error) {
	box, err := a.services.Strips.Box(ctx, request.Id)
	return api.GetStripBox200JSONResponse(apiStripBox(box)), err
}

// OpenStripBox puts a box into use.
func (a apiCalls) OpenStripBox(ctx context.Context, request api.OpenStripBoxRequestObject) (api.OpenStripBoxResponseObject, error) {
	sent := request.Body
	var wrong faults
	draft := jobs.BoxDraft{
		Process: sent.Process, Number: sent.Number, Aim: sent.Aim, Correction: sent.Correction, Strips: sent.Strips,
		Pairs:     each(sent.Pairs, func(p api.CrossPair) jobs.CrossPair { return jobs.CrossPair{Old: p.Old, New: p.New} }),
		Limits:    limitsOf(sent.Process, sent.Limits, sent.LimitsSource),
		ExpiresOn: calendarDay(sent.ExpiresOn, "expires_on", &wrong),
	}
	if err := wrong.err(); err != nil {
		return nil, err
	}
	box, err := a.services.Strips.OpenBox(ctx, by(ctx), draft)
	return api.OpenStripBox201JSONResponse(apiStripBox(box)), err
}

// ChangeStripBox corrects a box.
func (a apiCalls) ChangeStripBox(ctx context.Context, request api.ChangeStripBoxRequestObject) (api.ChangeStripBoxResponseObject, error) {
	sent := request.Body
	box, err := a.services.Strips.Box(ctx, request.Id)
	if err != nil {
		return nil, err
	}
	var wrong faults
	draft := jobs.BoxDraft{
		Number: sent.Number, Aim: sent.Aim, Correction: sent.Correction, Strips: sent.Strips,
		Limits: limitsOf(box.Process, sent.Limits, sent.LimitsSource), ExpiresOn: calendarDay(sent.ExpiresOn, "expires_on", &wrong),
	}
	if err := wrong.err(); err != nil {
		return nil, err
	}
	box, err = a.services.Strips.ChangeBox(ctx, by(ctx), request.Id, sent.Version, draft)
	return api.ChangeStripBox200JSONResponse(apiStripBox(box)), err
}

// UseStripBox puts a box away, or back into use.
func (a apiCalls) UseStripBox(ctx context.Context, request api.UseStripBoxRequestObject) (api.UseStripBoxResponseObject, error) {
	box, err := a.services.Strips.UseBox(ctx, by(ctx), request.Id, request.Body.Version, *request.Body.InUse)
	return api.UseStripBox200JSONResponse(apiStripBox(box)), err
}
