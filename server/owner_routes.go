package server

import "net/http"

// chemistryRoutes are the tanks: staff look after them, owners too.
func chemistryRoutes(s *site) []Route {
	const get, post = http.MethodGet, http.MethodPost
	chemistry, fill := chemistryPages{s}, fillPages{s}
	return []Route{
		{get, "/chemistry", "fills in use", StaffOnly, "Chemistry", nil, chemistry.fills},
		{get, "/chemistry/pour", "pour form", StaffOnly, "", nil, chemistry.pourForm},
		{post, "/chemistry/pour", "pour a fill", StaffOnly, "", nil, chemistry.pour},
		{get, "/fills/:id", "fill", StaffOnly, "", nil, fill.fill},
		{post, "/fills/:id/top-up", "top a fill up", StaffOnly, "", nil, fill.topUp},
		{post, "/fills/:id/spill", "spill of a fill", StaffOnly, "", nil, fill.spill},
		{post, "/fills/:id/foul", "foul a fill", StaffOnly, "", nil, fill.foul},
		{post, "/fills/:id/clearing-test", "test a fixer", StaffOnly, "", nil, fill.testClearing},
		{post, "/fills/:id/dump", "dump a fill", StaffOnly, "", nil, fill.dump},
	}
}

// setUpRoutes are what the owner alone decides.
func setUpRoutes(s *site) []Route {
	const get, post = http.MethodGet, http.MethodPost
	setUp, lab, closures, people := setUpPages{s}, labPages{s}, closurePages{s}, peoplePages{s}
	stocks, solutions, lines, processes := stockPages{s}, solutionPages{s}, linePages{s}, processPages{s}
	return []Route{
		{get, "/set-up", "set-up", OwnerOnly, "Set-up", nil, setUp.overview},
		{get, "/stocks", "film stocks", OwnerOnly, "", nil, stocks.list},
		{get, "/stocks/new", "new stock form", OwnerOnly, "", nil, stocks.blank},
		{post, "/stocks/new", "add a stock", OwnerOnly, "", nil, stocks.save},
		{get, "/stocks/:id", "stock form", OwnerOnly, "", nil, stocks.form},
		{post, "/stocks/:id", "save a stock", OwnerOnly, "", nil, stocks.save},
		{get, "/solutions", "solutions", OwnerOnly, "", nil, solutions.list},
		{get, "/solutions/new", "new solution form", OwnerOnly, "", nil, solutions.blank},
		{post, "/solutions/new", "add a solution", OwnerOnly, "", nil, solutions.save},
		{get, "/solutions/:id", "solution form", OwnerOnly, "", nil, solutions.form},
		{post, "/solutions/:id", "save a solution", OwnerOnly, "", nil, solutions.save},
		{get, "/solutions/:id/versions", "versions of a solution", StaffOnly, "", nil, solutions.versions},
		{get, "/lines", "lines", OwnerOnly, "", nil, lines.list},
		{get, "/lines/new", "new line form", OwnerOnly, "", nil, lines.blank},
		{post, "/lines/new", "add a line", OwnerOnly, "", nil, lines.save},
		{get, "/lines/:id", "line form", OwnerOnly, "", nil, lines.form},
		{post, "/lines/:id", "save a line", OwnerOnly, "", nil, lines.save},
		{get, "/processes", "processes", OwnerOnly, "", nil, processes.list},
		{get, "/processes/:process", "process", OwnerOnly, "", nil, processes.process},
		{post, "/processes/:process", "save tested times", OwnerOnly, "", nil, processes.save},
		{get, "/people", "people", OwnerOnly, "", nil, people.list},
		{post, "/people", "add a person", OwnerOnly, "", nil, people.add},
		{get, "/people/:id", "person", OwnerOnly, "", nil, people.person},
		{post, "/people/:id/password", "set a password", OwnerOnly, "", nil, people.setPassword},
		{post, "/people/:id/active", "let in or shut out", OwnerOnly, "", nil, people.setActive},
		{get, "/closures", "closed days", OwnerOnly, "", nil, closures.list},
		{post, "/closures", "close the lab", OwnerOnly, "", nil, closures.add},
		{post, "/closures/:id/remove", "open the lab again", OwnerOnly, "", nil, closures.remove},
		{get, "/lab", "lab form", OwnerOnly, "", nil, lab.form},
		{post, "/lab", "save the lab", OwnerOnly, "", nil, lab.save},
	}
}
