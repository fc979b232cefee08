package server

import (
	"net/http"
	"time"

	"wetside/server/api"
)

// apiRoot begins the address of every operation of api/openapi.yaml.
const apiRoot = apiPrefix + "v1"

// apiRoutes lists the operations of api/openapi.yaml.
func apiRoutes(s *site, door signInPages) []Route {
	const get, post, put, del = http.MethodGet, http.MethodPost, http.MethodPut, http.MethodDelete
	calls, typing := apiCalls{s, door}, newLimiter(200, 2*time.Second)
	do := api.ServerInterfaceWrapper{Handler: api.NewStrictHandler(calls, []api.StrictMiddlewareFunc{calls.checked})}
	routes := []Route{
		{get, "/openapi.yaml", "API description", Public, "", nil, do.Describe},

		{get, "/session", "API who am I", StaffOnly, "", nil, do.WhoAmI},
		{post, "/session", "API sign in", Public, "", nil, do.SignIn},
		{del, "/session", "API sign out", Public, "", nil, do.SignOut},

		{get, "/lab", "API lab", Public, "", nil, do.GetLab},
		{put, "/lab", "API change the lab", OwnerOnly, "", nil, do.ChangeLab},
		{get, "/closures", "API closures", Public, "", nil, do.ListClosures},
		{post, "/closures", "API add a closure", OwnerOnly, "", nil, do.AddClosure},
		{del, "/closures/:id", "API remove a closure", OwnerOnly, "", nil, do.RemoveClosure},
		{get, "/stocks", "API stocks", Public, "", nil, do.ListStocks},
		{post, "/stocks", "API add a stock", OwnerOnly, "", nil, do.AddStock},
		{put, "/stocks/:id", "API change a stock", OwnerOnly, "", nil, do.ChangeStock},
		{get, "/solutions", "API solutions", Public, "", nil, do.ListSolutions},
		{post, "/solutions", "API add a solution", OwnerOnly, "", nil, do.AddSolution},
		{put, "/solutions/:id", "API change a solution", OwnerOnly, "", nil, do.ChangeSolution},
		{get, "/solutions/:id/versions", "API versions of a solution", StaffOnly, "", nil, do.ListRecipeVersions},
		{get, "/what-if", "API what if, as it is", OwnerOnly, "", nil, do.WhatIfAsItIs},
		{post, "/what-if", "API what if, changed", OwnerOnly, "", nil, do.WhatIfChanged},
		{get, "/lines", "API lines", StaffOnly, "", nil, do.ListLines},
		{post, "/lines", "API add a line", OwnerOnly, "", nil, do.AddLine},
		{put, "/lines/:id", "API change a line", OwnerOnly, "", nil, do.ChangeLine},
		{get, "/tested-times", "API tested times", StaffOnly, "", nil, do.ListTestedTimes},
		{put, "/tested-times/:process", "API change tested times", OwnerOnly, "", nil, do.ChangeTestedTimes},
		{get, "/people", "API people", OwnerOnly, "", nil, do.ListPeople},
		{post, "/people", "API add a person", OwnerOnly, "", nil, do.AddPerson},
		{put, "/people/:id/password", "API set a password", OwnerOnly, "", nil, do.SetPassword},
		{put, "/people/:id/active", "API let in or shut out", OwnerOnly, "", nil, do.SetActive},

		{post, "/roll-readings", "API read a roll", Public, "", typing, do.ReadRoll},
		{post, "/orders", "API send an order", Public, "", typing, do.SendOrder},
		{get, "/orders", "API orders", StaffOnly, "", nil, do.ListOrders},
		{get, "/orders/import", "API empty order file", StaffOnly, "", nil, do.GetOrderTemplate},
		{post, "/orders/import", "API import orders", StaffOnly, "", nil, do.ImportOrders},
		{post, "/orders/import/reading", "API read an order file", StaffOnly, "", nil, do.ReadOrderFile},
		{get, "/orders/:id", "API order", StaffOnly, "", nil, do.GetOrder},
		{get, "/tracking/:token", "API track an order", PrivateLink, "", nil, do.TrackOrder},

		{get, "/rolls", "API rolls", StaffOnly, "", nil, do.ListRolls},
		{get, "/rolls/:id", "API roll", StaffOnly, "", nil, do.GetRoll},
		{get, "/rolls/:id/events", "API events of a roll", StaffOnly, "", nil, do.ListRollEvents},
		{post, "/rolls/:id/check-in", "API check a roll in", StaffOnly, "", nil, do.CheckInRoll},
		{post, "/rolls/:id/hold", "API hold a roll", StaffOnly, "", nil, do.HoldRoll},
		{post, "/rolls/:id/answer", "API answer a hold", StaffOnly, "", nil, do.AnswerRoll},
		{post, "/rolls/:id/queue", "API queue a roll", StaffOnly, "", nil, do.QueueRoll},
		{post, "/rolls/:id/advance", "API advance a roll", StaffOnly, "", nil, do.AdvanceRoll},
		{post, "/rolls/:id/cancel", "API cancel a roll", StaffOnly, "", nil, do.CancelRoll},
		{post, "/rolls/:id/spoil", "API spoil a roll", StaffOnly, "", nil, do.SpoilRoll},
		{post, "/rolls/:id/move", "API move a roll", StaffOnly, "", nil, do.MoveRoll},
		{get, "/twin-checks/:twin_check", "API roll by twin-check", StaffOnly, "", nil, do.GetRollByTwinCheck},
		{post, "/deliveries", "API deliver rolls", StaffOnly, "", nil, do.DeliverRolls},

		{get, "/today", "API today", StaffOnly, "", nil, do.GetToday},
		{get, "/proposal", "API proposal", StaffOnly, "", nil, do.GetProposal},
		{get, "/batches", "API batches", StaffOnly, "", nil, do.ListBatches},
		{post, "/batches", "API accept a batch", StaffOnly, "", nil, do.AcceptBatch},
		{get, "/batches/:id", "API batch", StaffOnly, "", nil, do.GetBatch},
		{get, "/batches/:id/run-sheet", "API run sheet", StaffOnly, "", nil, do.GetRunSheet},
		{get, "/batches/:id/events", "API events of a batch", StaffOnly, "", nil, do.ListBatchEvents},
		{post, "/batches/:id/split", "API split a batch", StaffOnly, "", nil, do.SplitBatch},
		{post, "/batches/:id/lock", "API lock a batch", StaffOnly, "", nil, do.LockBatch},
		{post, "/batches/:id/unlock", "API unlock a batch", StaffOnly, "", nil, do.UnlockBatch},
		{post, "/batches/:id/cancel", "API cancel a batch", StaffOnly, "", nil, do.CancelBatch},
		{post, "/batches/:id/start", "API start a batch", StaffOnly, "", nil, do.StartBatch},
		{post, "/batches/:id/readings", "API take a reading", StaffOnly, "", nil, do.TakeReading},
		{post, "/batches/:id/finish", "API finish a batch", StaffOnly, "", nil, do.FinishBatch},
		{post, "/batches/:id/stop", "API stop a batch", StaffOnly, "", nil, do.StopBatch},

		{get, "/forecasts", "API forecasts", StaffOnly, "", nil, do.ListForecasts},
		{post, "/forecasts", "API recalculate forecasts", StaffOnly, "", nil, do.RecalculateForecasts},
		{get, "/fills/:id/course", "API course of a fill", StaffOnly, "", nil, do.GetFillCourse},
		{get, "/morning-list", "API morning list", StaffOnly, "", nil, do.GetMorningList},
		{get, "/schedules", "API schedules", OwnerOnly, "", nil, do.ListSchedules},
		{put, "/schedules/:work", "API change a schedule", OwnerOnly, "", nil, do.ChangeSchedule},
		{post, "/schedule-readings", "API read a schedule", OwnerOnly, "", nil, do.ReadSchedule},

		{get, "/fills", "API fills", StaffOnly, "", nil, do.ListFills},
		{post, "/fills", "API pour a fill", StaffOnly, "", nil, do.PourFill},
		{get, "/fills/:id", "API fill", StaffOnly, "", nil, do.GetFill},
		{post, "/fills/:id/dump", "API dump a fill", StaffOnly, "", nil, do.DumpFill},

		{get, "/lots", "API lots", StaffOnly, "", nil, do.ListLots},
		{post, "/lots", "API receive a lot", StaffOnly, "", nil, do.ReceiveLot},
		{get, "/lots/:id", "API lot", StaffOnly, "", nil, do.GetLot},
		{post, "/lots/:id/losses", "API lose of a lot", StaffOnly, "", nil, do.LoseLot},
		{get, "/mixing-sheet", "API mixing sheet", StaffOnly, "", nil, do.GetMixingSheet},
		{get, "/mixes", "API mixes", StaffOnly, "", nil, do.ListMixes},
		{post, "/mixes", "API record a mix", StaffOnly, "", nil, do.RecordMix},
		{get, "/mixes/:id", "API mix", StaffOnly, "", nil, do.GetMix},
		{post, "/mixes/:id/losses", "API lose of a mix", StaffOnly, "", nil, do.LoseMix},
		{get, "/containers", "API containers", StaffOnly, "", nil, do.ListContainers},
		{post, "/containers", "API add a container", OwnerOnly, "", nil, do.AddContainer},
		{put, "/containers/:id", "API change a container", OwnerOnly, "", nil, do.ChangeContainer},
		{get, "/waste", "API waste log", StaffOnly, "", nil, do.GetWasteLog},
		{get, "/collections", "API collections", StaffOnly, "", nil, do.ListCollections},
		{post, "/collections", "API collect waste", StaffOnly, "", nil, do.CollectWaste},

		{get, "/strip-boxes", "API boxes of strips", StaffOnly, "", nil, do.ListStripBoxes},
		{post, "/strip-boxes", "API open a box of strips", OwnerOnly, "", nil, do.OpenStripBox},
		{get, "/strip-boxes/:id", "API box of strips", StaffOnly, "", nil, do.GetStripBox},
		{put, "/strip-boxes/:id", "API change a box of strips", OwnerOnly, "", nil, do.ChangeStripBox},
		{put, "/strip-boxes/:id/use", "API use a box of strips", OwnerOnly, "", nil, do.UseStripBox},
		{get, "/strip-lines", "API lines watched by strips", StaffOnly, "", nil, do.ListStripLines},
		{get, "/strips", "API strips", StaffOnly, "", nil, do.ListStrips},
		{post, "/strips", "API read a strip", StaffOnly, "", nil, do.ReadStrip},
		{get, "/strips/:id", "API strip", StaffOnly, "", nil, do.GetStrip},
		{post, "/strips/:id/release", "API release a line", OwnerOnly, "", nil, do.ReleaseLine},
		{post, "/strip-files", "API read a file of strips", StaffOnly, "", nil, do.ReadStripFile},
		{post, "/fills/:id/top-up", "API top a fill up", StaffOnly, "", nil, do.TopUpFill},
		{post, "/fills/:id/spill", "API spill of a fill", StaffOnly, "", nil, do.SpillFill},
		{post, "/fills/:id/foul", "API foul a fill", StaffOnly, "", nil, do.FoulFill},
		{post, "/fills/:id/clearing-tests", "API test a fixer", StaffOnly, "", nil, do.TestClearing},
		{get, "/doses", "API doses", StaffOnly, "", nil, do.ListDoses},
		{post, "/doses/:id/confirm", "API confirm a dose", StaffOnly, "", nil, do.ConfirmDose},

		{get, "/traces/:cause/:id", "API trace", StaffOnly, "", nil, do.GetTrace},
		{get, "/rolls/:id/trace", "API trace of a roll", StaffOnly, "", nil, do.TraceRoll},
		{get, "/inspections", "API inspections", StaffOnly, "", nil, do.ListInspections},
		{post, "/inspections", "API mark rolls", StaffOnly, "", nil, do.MarkRolls},
		{post, "/inspections/close", "API close inspections", StaffOnly, "", nil, do.CloseInspections},
	}
	for i, route := range routes {
		routes[i].Path, routes[i].Handler = apiRoot+route.Path, plainNumbers(route.Handler)
	}
	return routes
}
