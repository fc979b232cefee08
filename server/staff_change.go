package server

import (
	"net/url"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
)

// change is what a form about one thing, a roll or a batch, asks for.
type change[K ~int64] struct {
	key     K
	version int
	by      jobs.Actor
	values  url.Values
}

// text returns a value as it was typed.
func (c change[K]) text(name string) string {
	return strings.ReplaceAll(c.values.Get(name), "\r\n", "\n")
}

type changeForm struct {
	Version string `form:"version"`
	Back    string `form:"back"`
}

// page is where the thing that a form is about is shown.
type page[K ~int64] struct {
	path func(K) string
	show func(echo.Context, K, typed) error
}

// carryOut does what a form asks for and says so. When it cannot be done the
// page says why and shows how things are now; what was typed stays in the form.
func carryOut[K ~int64](p staffPages, c echo.Context, shown page[K], name string, do func(change[K]) (notice string, err error)) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	var form changeForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	key := K(id)
	notice, err := do(change[K]{key, versionOf(form.Version), actorOf(c), c.Request().PostForm})
	if err == nil {
		return p.done(c, localPath(form.Back, shown.path(key)), notice)
	}
	wrong, ok := staffFaults(err)
	if !ok {
		return err
	}
	return shown.show(c, key, typedIn(c, wrong.within(name)))
}
