package server

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// staffPages are for those who work at the lab, from the unpacking of film to
// its way out.
type staffPages struct{ *site }

// staffRoutes lists the addresses of these pages. The first one is where staff
// land when they sign in.
func staffRoutes(s *site) []Route {
	const get, post = http.MethodGet, http.MethodPost
	p := staffPages{s}
	return []Route{
		{get, "/today", "today", StaffOnly, "Today", nil, p.today},
		{get, "/scan", "find by scan", StaffOnly, "", nil, p.scan},
		{get, "/check-in", "check-in", StaffOnly, "Check in", nil, p.unpack},
		{get, "/check-in/:id", "check-in of a roll", StaffOnly, "", nil, p.checkInForm},
		{post, "/check-in/:id", "check a roll in", StaffOnly, "", nil, p.checkIn},
		{get, "/plan", "plan", StaffOnly, "Plan", nil, p.plan},
		{post, "/plan/accept", "accept batches", StaffOnly, "", nil, p.accept},
		{post, "/plan/batch", "batch by hand", StaffOnly, "", nil, p.acceptByHand},
		{get, "/batches", "batches", StaffOnly, "", nil, p.batches},
		{get, "/batches/:id", "run sheet", StaffOnly, "", nil, p.batch},
		{post, "/batches/:id/move", "move rolls", StaffOnly, "", nil, p.moveRolls},
		{post, "/batches/:id/lock", "lock a batch", StaffOnly, "", nil, p.lock},
		{post, "/batches/:id/unlock", "unlock a batch", StaffOnly, "", nil, p.unlock},
		{post, "/batches/:id/cancel", "cancel a batch", StaffOnly, "", nil, p.cancelBatch},
		{post, "/batches/:id/start", "start a batch", StaffOnly, "", nil, p.start},
		{post, "/batches/:id/reading", "take a reading", StaffOnly, "", nil, p.takeReading},
		{post, "/batches/:id/finish", "finish a batch", StaffOnly, "", nil, p.finish},
		{post, "/batches/:id/stop", "stop a batch", StaffOnly, "", nil, p.stop},
		{get, "/dry-side", "dry side", StaffOnly, "Dry side", nil, p.drySide},
		{get, "/counter", "counter", StaffOnly, "Counter", nil, p.counter},
		{get, "/orders", "orders", StaffOnly, "Orders", nil, p.orders},
		{get, "/orders/:id", "order for staff", StaffOnly, "", nil, p.order},
		{post, "/orders/:id/deliver", "deliver an order", StaffOnly, "", nil, p.deliverOrder},
		{get, "/rolls", "rolls", StaffOnly, "Rolls", nil, p.rolls},
		{get, "/rolls/:id", "roll", StaffOnly, "", nil, p.roll},
		{post, "/rolls/:id/hold", "hold a roll", StaffOnly, "", nil, p.hold},
		{post, "/rolls/:id/answer", "answer a hold", StaffOnly, "", nil, p.answer},
		{post, "/rolls/:id/queue", "queue a roll", StaffOnly, "", nil, p.queue},
		{post, "/rolls/:id/move", "move a roll", StaffOnly, "", nil, p.moveRoll},
		{post, "/rolls/:id/advance", "advance a roll", StaffOnly, "", nil, p.advance},
		{post, "/rolls/:id/deliver", "deliver a roll", StaffOnly, "", nil, p.deliverRoll},
		{post, "/rolls/:id/cancel", "cancel a roll", StaffOnly, "", nil, p.cancelRoll},
		{post, "/rolls/:id/spoil", "spoil a roll", StaffOnly, "", nil, p.spoil},
	}
}

// keyInPath is the key that the address names.
func keyInPath(c echo.Context) (int64, error) {
	n, err := strconv.ParseInt(c.Param("id"), 10, 64)
	if err != nil || n < 1 {
		return 0, jobs.Errorf(jobs.NotFound, "There is nothing at this address.")
	}
	return n, nil
}

func rollPath(id jobs.RollID) string { return "/rolls/" + strconv.FormatInt(int64(id), 10) }

func batchPath(id jobs.BatchID) string { return "/batches/" + strconv.FormatInt(int64(id), 10) }

func staffOrderPath(id jobs.OrderID) string { return "/orders/" + strconv.FormatInt(int64(id), 10) }

// staffFaults takes apart an error as [faultsOf] does. Those who work here see
// on the page itself, too, that somebody else was faster: it shows how things
// are now.
func staffFaults(err error) (faults, bool) {
	if jobs.CodeOf(err) != jobs.Stale {
		return faultsOf(err)
	}
	p := problemOf(err)
	return faults{[]jobs.FieldError{{Message: p.Detail}}, p.Status}, true
}

// within names the fields as a form among several does: "reason" becomes
// "cancel.reason". A page with fields of its own has no form to name.
func (f faults) within(form string) faults {
	if form == "" {
		return f
	}
	list := slices.Clone(f.list)
	for i := range list {
		if list[i].Field != "" {
			list[i].Field = form + "." + list[i].Field
		}
	}
	return faults{list, f.code}
}

// typed is what was typed into the forms of a page, and what is wrong with it.
// The zero value is a page that nobody has typed into.
type typed struct {
	values url.Values
	wrong  faults
}

// typedIn keeps what a request's form sent along.
func typedIn(c echo.Context, wrong faults) typed {
	return typed{c.Request().PostForm, wrong}
}

// field makes a field that shows what was typed, and the given value until
// something was.
func (t typed) field(kind, name, label, value string, options ...web.Option) web.Field {
	if t.values.Has(name) {
		value = t.values.Get(name)
	}
	return web.Field{Kind: kind, Name: name, Label: label, Value: value, Options: options, Error: t.wrong.of(name)}
}

// required marks a field that must be filled in.
func required(f web.Field) web.Field {
	f.Required = true
	return f
}

// hinted explains a field.
func hinted(f web.Field, hint string) web.Field {
	f.Hint = hint
	return f
}

// measured writes a unit behind a field.
func measured(f web.Field, unit string) web.Field {
	f.Unit = unit
	return f
}

// ticked reads the keys of the ticks of one name; what is no key is refused.
func ticked(c echo.Context, name string) ([]int64, error) {
	var keys []int64
	for _, text := range c.Request().PostForm[name] {
		n, err := strconv.ParseInt(text, 10, 64)
		if err != nil {
			return nil, jobs.InvalidField(name, "%q is no roll of this list", text)
		}
		keys = append(keys, n)
	}
	return keys, nil
}

// versionOf reads the version that a form was made from; 0 where none was sent.
func versionOf(text string) int {
	n, err := strconv.Atoi(text)
	if err != nil {
		return -1 // fits no record, so that a broken form changes nothing
	}
	return n
}
