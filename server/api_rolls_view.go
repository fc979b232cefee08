package server

import (
	"wetside/jobs"
	"wetside/server/api"
)

// apiRoll shows a roll as it is kept.
func apiRoll(r jobs.Roll) api.Roll {
	return api.Roll{
		Id: r.ID, Order: r.Order, Position: r.Position, Label: r.Label(), TwinCheck: r.TwinCheck,
		Stock: r.Stock, Process: r.Process, Remjet: r.Remjet, Solution: r.Solution, Format: r.Format, Exposures: r.Exposures,
		Light: r.Light, Filter: r.Filter, Ei: r.EI, Push: r.Push, Note: r.Note, Reading: r.Reading, Confirm: r.Confirm,
		CutAndSleeve: r.Service.CutAndSleeve, Scan: r.Service.Scan, ReturnNegatives: r.Service.ReturnNegatives,
		State: r.State, Since: r.Since, Due: r.Due, Question: r.Question, Answer: r.Answer, Reason: r.Reason,
		Tracking: r.Tracking, Inspect: r.Inspect, Version: r.Version,
	}
}

// apiRollView shows a roll with what is shown beside it.
func apiRollView(v jobs.RollView) api.Roll {
	roll := apiRoll(v.Roll)
	roll.StockName, roll.CustomerName, roll.Return, roll.Batch = v.StockName, v.CustomerName, v.Return, v.Batch
	return roll
}

func apiEvent(e jobs.Event) api.Event {
	return api.Event{
		At: e.At, By: e.By.Name, Kind: e.Kind, Order: e.Order, Roll: e.Roll, Batch: e.Batch, Fill: e.Fill,
		From: e.From, To: e.To, Why: e.Why,
	}
}
