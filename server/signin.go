package server

import (
	"net/http"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// signInPages let staff and owners in and out.
type signInPages struct {
	*site
	byNetwork, byName *limiter
}

// newSignInPages limits tries from one network and for one name: the first
// stops a program that tries many names, the second many programs that try
// one. A try that succeeds does not count.
func newSignInPages(s *site) signInPages {
	return signInPages{s, newLimiter(20, 15*time.Second), newLimiter(10, time.Minute)}
}

type signInForm struct {
	Name     string `form:"name" validate:"required,max=80"`
	Password string `form:"password" validate:"required,max=200"`
	Next     string `form:"next"`
}

func (p signInPages) form(c echo.Context) error {
	if _, signed := personOf(c); signed {
		return c.Redirect(http.StatusSeeOther, p.home(c))
	}
	return p.showForm(c, http.StatusOK, signInForm{Next: c.QueryParam("next")}, faults{})
}

func (p signInPages) showForm(c echo.Context, status int, form signInForm, wrong faults) error {
	return p.show(c, status, &web.SignInPage{
		Frame: web.Frame{Title: "Staff sign-in", Problems: wrong.problems()},
		Name: web.Field{Kind: web.Text, Name: "name", Label: "Name", Value: form.Name, Required: true,
			Autocomplete: "username", Error: wrong.of("name")},
		Password: web.Field{Kind: web.Password, Name: "password", Label: "Password", Required: true,
			Autocomplete: "current-password", Error: wrong.of("password")},
		Next: localPath(form.Next, ""),
	})
}

func (p signInPages) enter(c echo.Context) error {
	var form signInForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	if err := c.Validate(form); err != nil {
		wrong, _ := faultsOf(err)
		return p.showForm(c, wrong.status(), form, wrong)
	}
	person, err := p.check(c, form.Name, form.Password)
	if jobs.CodeOf(err) == jobs.Unauthorised {
		var wrong faults
		wrong.add("password", "%s", problemOf(err).Detail)
		return p.showForm(c, http.StatusUnauthorized, form, wrong)
	}
	if err != nil {
		return err
	}
	if err := p.begin(c, person); err != nil {
		return err
	}
	c.Set(personKey, person)
	return c.Redirect(http.StatusSeeOther, localPath(form.Next, p.home(c)))
}

// check asks for the person with this name and password, as often as the
// limits allow.
func (p signInPages) check(c echo.Context, name, password string) (jobs.Person, error) {
	now := p.options.Now()
	from, called := network(c), strings.ToLower(strings.TrimSpace(name))
	if wait := p.byNetwork.take(from, now); wait > 0 {
		return jobs.Person{}, tooMany(c, wait)
	}
	if wait := p.byName.take(called, now); wait > 0 {
		return jobs.Person{}, tooMany(c, wait)
	}
	person, err := p.services.People.SignIn(c.Request().Context(), name, password)
	if err == nil {
		p.byNetwork.giveBack(from)
		p.byName.giveBack(called)
	}
	return person, err
}

// home is the first page of whoever is signed in.
func (p signInPages) home(c echo.Context) string {
	if links := p.nav(c); len(links) > 0 {
		return links[0].Path
	}
	return "/"
}

func (p signInPages) leave(c echo.Context) error {
	if err := p.sessions.Destroy(c.Request().Context()); err != nil {
		return err
	}
	return c.Redirect(http.StatusSeeOther, "/")
}
