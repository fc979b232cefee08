package server

import (
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// containerPages are where the owner says what waste waits in.
type containerPages struct{ *site }

// containerForm is a container as it was typed.
type containerForm struct {
	Name    string `form:"name"`
	Kind    string `form:"kind"`
	Volume  string `form:"volume_ml"`
	Active  bool   `form:"active"`
	Version string `form:"version"`
}

func containerFormOf(c jobs.Container) containerForm {
	return containerForm{c.Name, string(c.Kind), plainInt(c.VolumeML), c.Active, plainInt(c.Version)}
}

// stored is the container in the address, the zero one for a new one.
func (p containerPages) stored(c echo.Context) (jobs.Container, error) {
	id, err := entryKey(c)
	if err != nil || id == 0 {
		return jobs.Container{}, err
	}
	all, err := p.services.Waste.Containers(c.Request().Context())
	if err != nil {
		return jobs.Container{}, err
	}
	container, ok := all[jobs.ContainerID(id)]
	if !ok {
		return jobs.Container{}, jobs.Errorf(jobs.NotFound, "There is no such container.")
	}
	return container, nil
}

// blank asks for a new container.
func (p containerPages) blank(c echo.Context) error {
	return p.showContainer(c, jobs.Container{}, newTypedForm(containerForm{Active: true}, faults{}))
}

// form shows a container to be changed.
func (p containerPages) form(c echo.Context) error {
	container, err := p.stored(c)
	if err != nil {
		return err
	}
	return p.showContainer(c, container, newTypedForm(containerFormOf(container), faults{}))
}

func (p containerPages) showContainer(c echo.Context, stored jobs.Container, fields typedForm) error {
	title := stored.Name
	if stored.ID == 0 {
		title = "Add a container"
	}
	return p.show(c, fields.wrong.status(), &web.ContainerPage{
		Frame:  web.Frame{Title: title, Problems: fields.wrong.problems()},
		Entry:  web.Entry{Path: entryPath("/chemistry/containers", stored.ID), New: stored.ID == 0, Version: fields.values["version"]},
		Holds:  mlWords(stored.HoldsML),
		Name:   fields.needed(web.Text, "name", "Name", "As it is marked."),
		Kind:   fields.needed(web.Select, "kind", "Kind of waste", "One kind each: never mix them.", choose("Choose the kind", wordOptions(chemistry.WasteKinds))...),
		Volume: measured(fields.field(web.Number, "volume_ml", "Volume", "What it holds when full. Without it nobody can say how full it is."), "mL"),
		Active: fields.field(web.Checkbox, "active", "In use", "Waste goes into it."),
	})
}

// save adds or changes a container.
func (p containerPages) save(c echo.Context) error {
	stored, err := p.stored(c)
	if err != nil {
		return err
	}
	var form containerForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	var wrong faults
	container := jobs.Container{ID: stored.ID, Name: form.Name, Kind: chemistry.WasteKind(form.Kind), VolumeML: count(form.Volume, "volume_ml", &wrong), Active: form.Active}
	container.Version, _ = strconv.Atoi(strings.TrimSpace(form.Version)) // a broken one is no version, and so stale
	if len(wrong.list) > 0 {
		return p.showContainer(c, stored, newTypedForm(form, wrong))
	}
	saved, err := p.services.Waste.SaveContainer(c.Request().Context(), actorOf(c), container)
	if jobs.CodeOf(err) == jobs.Stale {
		now := containerFormOf(stored)
		form.Version = now.Version
		return p.showContainer(c, stored, newTypedForm(form, changedMeanwhile("this container")).beside(now))
	}
	if found, ok := faultsOf(err); ok {
		return p.showContainer(c, stored, newTypedForm(form, found))
	}
	if err != nil {
		return err
	}
	return p.done(c, "/chemistry/waste", savedWords(stored.ID == 0, saved.Name))
}
