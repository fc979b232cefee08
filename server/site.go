package server

import (
	"bytes"
	"net/http"
	"strings"

	"github.com/alexedwards/scs/v2"
	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// site is what the handlers of every page share.
type site struct {
	services Services
	options  Options
	pages    *web.Renderer
	sessions *scs.SessionManager
	lab      *labCache
	routes   []Route
}

// personKey is where a request carries the person who is signed in.
const personKey = "person"

// personOf returns who is signed in; false for nobody.
func personOf(c echo.Context) (jobs.Person, bool) {
	person, ok := c.Get(personKey).(jobs.Person)
	return person, ok
}

// actorOf returns who the record names for what a request does: the person who
// is signed in, or the customer.
func actorOf(c echo.Context) jobs.Actor {
	if person, ok := personOf(c); ok {
		return person.Actor()
	}
	return jobs.Customer
}

// show renders a page and sends it. Rendering comes first: a page that breaks
// half-way is never sent.
func (s *site) show(c echo.Context, status int, page web.Page) error {
	frame := page.Base()
	lab := s.lab.get(c.Request().Context())
	frame.Lab, frame.Zone, frame.Demo = lab.name, lab.zone, s.options.DemoBanner
	frame.Nav, frame.Parts = s.nav(c), s.partsOfChemistry(c)
	if person, ok := personOf(c); ok {
		frame.Signed = person.Name
	}
	frame.Notice = s.popNotice(c)
	var out bytes.Buffer
	if err := s.pages.Render(&out, page); err != nil {
		return err
	}
	return c.HTMLBlob(status, out.Bytes())
}

// nav lists the pages that whoever asks may choose from: the lab's own for
// those who work there, the public ones for everybody else.
func (s *site) nav(c echo.Context) []web.Link {
	_, signed := personOf(c)
	var links []web.Link
	for _, route := range s.routes {
		if route.Nav == "" || signed == (route.Access == Public) || decide(route.Access, roleOf(c)) != enter {
			continue
		}
		links = append(links, web.Link{
			Label: route.Nav, Path: route.Path, Current: route.Path == c.Path(), Within: belongsTo(c.Path(), route.Path),
		})
	}
	return links
}

// belongsTo reports whether a page is one of those that a main link stands for.
func belongsTo(page, main string) bool {
	if main == "/chemistry" && strings.HasPrefix(page, "/fills/") {
		return true
	}
	return strings.HasPrefix(page, main+"/")
}

// done ends a form that succeeded: it leads on to another page, which says
// what has been done. Reloading that page does nothing twice.
func (s *site) done(c echo.Context, path, notice string) error {
	if notice != "" {
		s.sessions.Put(c.Request().Context(), noticeKey, notice)
	}
	return c.Redirect(http.StatusSeeOther, path)
}
