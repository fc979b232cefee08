package server

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// peoplePages keep who signs in.
type peoplePages struct{ *site }

// roleWords say what a role may do.
var roleWords = map[jobs.Role]string{
	jobs.Staff: "Takes film in, plans and runs batches, looks after the chemistry.",
	jobs.Owner: "Does all that staff do, and decides on recipes, stocks, lines, people and the lab itself.",
}

// personForm is a new person as typed.
type personForm struct {
	Name     string `form:"name"`
	Role     string `form:"role"`
	Password string `form:"password"`
}

const passwordHint = "At least 10 characters; a few words that do not belong together are easy to keep."

func (p peoplePages) list(c echo.Context) error {
	return p.showList(c, newTypedForm(personForm{Role: string(jobs.Staff)}, faults{}))
}

func (p peoplePages) showList(c echo.Context, f typedForm) error {
	people, err := p.services.People.People(c.Request().Context())
	if err != nil {
		return err
	}
	page := &web.PeoplePage{
		OwnerFrame: ownerFrame("/people", "People", f.wrong),
		Name:       f.needed(web.Text, "name", "Name", "As they type it to sign in, and as the records name them."),
		Role: f.needed(web.Radio, "role", "Role", "",
			web.Option{Value: string(jobs.Staff), Label: "Staff", Hint: roleWords[jobs.Staff]},
			web.Option{Value: string(jobs.Owner), Label: "Owner", Hint: roleWords[jobs.Owner]}),
		Password: f.needed(web.Password, "password", "Password", passwordHint),
	}
	page.Name.Autocomplete, page.Password.Autocomplete = "off", "new-password"
	d := p.desk(c)
	for _, person := range people {
		page.People = append(page.People, personRow(c, person, d))
	}
	return p.show(c, f.wrong.status(), page)
}

func personRow(c echo.Context, person jobs.Person, d desk) web.PersonRow {
	row := web.PersonRow{
		ID: int64(person.ID), Name: person.Name, Role: sentence(string(person.Role)), May: roleWords[person.Role],
		Since: web.Moment{Stamp: d.moment(person.CreatedAt).Stamp, Words: person.CreatedAt.In(d.zone).Format("2 January 2006")},
		State: web.Chip{Class: "ready", Word: "Can sign in"}, Active: person.Active,
	}
	if !person.Active {
		row.State = web.Chip{Word: "Shut out"}
	}
	if me, ok := personOf(c); ok {
		row.You = me.ID == person.ID
	}
	return row
}

func (p peoplePages) add(c echo.Context) error {
	var form personForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	person, err := p.services.People.AddPerson(c.Request().Context(), actorOf(c), form.Name, jobs.Role(form.Role), form.Password)
	if wrong, ok := faultsOf(err); ok {
		return p.showList(c, newTypedForm(form, wrong))
	}
	if err != nil {
		return err
	}
	return p.done(c, "/people", fmt.Sprintf("%s can sign in now, as %s.", person.Name, person.Role))
}

func (p peoplePages) person(c echo.Context) error { return p.showPerson(c, faults{}) }

func (p peoplePages) showPerson(c echo.Context, wrong faults) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	person, err := p.services.People.Person(c.Request().Context(), jobs.PersonID(id))
	if err != nil {
		return err
	}
	page := &web.PersonPage{
		OwnerFrame: ownerFrame("/people", person.Name, wrong),
		Person:     personRow(c, person, p.desk(c)),
		// What was typed is never sent back.
		Password: newTypedForm(passwordForm{}, wrong).needed(web.Password, "password", "New password", passwordHint),
	}
	page.Password.Autocomplete = "new-password"
	return p.show(c, wrong.status(), page)
}

type passwordForm struct {
	Password string `form:"password"`
}

func (p peoplePages) setPassword(c echo.Context) error {
	var form passwordForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	return p.change(c, "The new password is set.", func(id jobs.PersonID) error {
		return p.services.People.SetPassword(c.Request().Context(), actorOf(c), id, form.Password)
	})
}

type activeForm struct {
	Active string `form:"active"`
}

func (p peoplePages) setActive(c echo.Context) error {
	var form activeForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	active, err := strconv.ParseBool(strings.TrimSpace(form.Active))
	if err != nil {
		return jobs.InvalidField("active", "%q says neither whether somebody may sign in nor not, allowed are true and false", form.Active)
	}
	notice := "This person can no longer sign in, and is signed out everywhere."
	if active {
		notice = "This person can sign in again."
	}
	return p.change(c, notice, func(id jobs.PersonID) error {
		return p.services.People.SetActive(c.Request().Context(), actorOf(c), id, active)
	})
}

// change does something to the person in the address and says so on their page.
func (p peoplePages) change(c echo.Context, notice string, do func(jobs.PersonID) error) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	err = do(jobs.PersonID(id))
	if wrong, ok := faultsOf(err); ok {
		return p.showPerson(c, wrong)
	}
	if err != nil {
		return err
	}
	return p.done(c, "/people/"+strconv.FormatInt(id, 10), notice)
}
