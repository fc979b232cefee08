package server

import (
	"fmt"
	"net/http"
	"net/url"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// wasteRoutes are the containers, what went through them, and the hauler.
func wasteRoutes(s *site) []Route {
	const get, post = http.MethodGet, http.MethodPost
	waste, containers := wastePages{s}, containerPages{s}
	return []Route{
		{get, "/chemistry/waste", "waste", StaffOnly, "", nil, waste.overview},
		{post, "/chemistry/waste/collect", "collect waste", StaffOnly, "", nil, waste.collect},
		{get, "/chemistry/waste/log", "waste log", StaffOnly, "", nil, waste.log},
		{get, "/chemistry/waste/log.csv", "waste log as CSV", StaffOnly, "", nil, waste.logFile},
		{get, "/chemistry/containers/new", "new container form", OwnerOnly, "", nil, containers.blank},
		{post, "/chemistry/containers/new", "add a container", OwnerOnly, "", nil, containers.save},
		{get, "/chemistry/containers/:id", "container form", OwnerOnly, "", nil, containers.form},
		{post, "/chemistry/containers/:id", "save a container", OwnerOnly, "", nil, containers.save},
	}
}

// wastePages show where waste waits for the hauler, and keep what was taken.
type wastePages struct{ *site }

// lastEntries is how many lines of the log stand on the overview.
const lastEntries = 10

// overview shows the containers and what became of them.
func (p wastePages) overview(c echo.Context) error { return p.showWaste(c, typed{}) }

func (p wastePages) showWaste(c echo.Context, t typed) error {
	ctx := c.Request().Context()
	all, err := p.services.Waste.Containers(ctx)
	if err != nil {
		return err
	}
	collections, err := p.services.Waste.Collections(ctx)
	if err != nil {
		return err
	}
	log, err := p.services.Waste.WasteLog(ctx, jobs.WasteQuery{Limit: lastEntries})
	if err != nil {
		return err
	}
	silver, err := p.services.Waste.SilverSince(ctx)
	if err != nil {
		return err
	}
	d, owner := p.desk(c), roleOf(c).May(jobs.Owner)
	page := &web.WastePage{
		Frame: web.Frame{Title: "Waste", Problems: t.wrong.problems()}, Cautions: chemistry.HandlingCautions(chemistry.Dumping, chemistry.Fixer),
		CanAdd: owner, Log: d.wasteLines(log),
	}
	if page.Silver, err = d.silver(silver); err != nil {
		return err
	}
	for _, container := range sortedContainers(all) {
		card := containerCard(container, owner)
		if container.Active {
			page.Containers = append(page.Containers, card)
		} else {
			page.Away = append(page.Away, card)
		}
	}
	for _, one := range collections {
		page.Collections = append(page.Collections, web.CollectionRow{At: d.moment(one.At), Container: one.ContainerName, Kind: sentence(string(one.Kind)),
			Volume: volumeWords(one.VolumeML), Hauler: one.Hauler, Document: one.Document, By: one.By})
	}
	page.Collect = collectForms(t, all)
	return p.show(c, t.wrong.status(), page)
}

// nearlyFull is the share, in per cent, from which a container is marked.
const nearlyFull = 80

// containerCard is a container and how full it is.
func containerCard(container jobs.Container, owner bool) web.ContainerCard {
	card := web.ContainerCard{
		Name: container.Name, Kind: sentence(string(container.Kind)), Holds: fullWords(container), State: web.Chip{Class: "ready", Word: "Has room"},
		Log: "/chemistry/waste/log?kind=" + url.QueryEscape(string(container.Kind)),
	}
	if owner {
		card.Edit = entryPath("/chemistry/containers", container.ID)
	}
	percent := 0
	if container.VolumeML > 0 {
		percent = int(100*container.HoldsML/float64(container.VolumeML) + 1e-6)
		card.Full = web.Gauge{Known: true, Percent: min(percent, 100), Figure: fmt.Sprintf("%d %% full", percent)}
	}
	switch {
	case !container.Active:
		card.State = web.Chip{Word: "Out of use"}
	case percent >= 100:
		card.State, card.Full.Class = web.Chip{Class: "bad", Word: "Full"}, "bad"
	case percent >= nearlyFull:
		card.State, card.Full.Class = web.Chip{Class: "hold", Word: "Nearly full"}, "hold"
	case container.HoldsML == 0:
		card.State = web.Chip{Word: "Empty"}
	case container.VolumeML == 0:
		card.State = web.Chip{Class: "wait", Word: "Size not known"}
	}
	return card
}

// silver tells the estimate as what it is.
func (d desk) silver(s jobs.SilverSince) (web.Silver, error) {
	estimate, err := s.Estimate()
	if err != nil {
		return web.Silver{}, err
	}
	return web.Silver{Since: d.moment(s.Collected), Words: sentence(estimate.String()), Source: estimate.Source.String(),
		Film: squareMetres(s.ColourM2+s.BlackWhite) + " of film, of it " + squareMetres(s.BlackWhite) + " black and white"}, nil
}

// collectForms is the form for the hauler; none while there is nothing to take.
func collectForms(t typed, all jobs.Containers) []web.ActionForm {
	var options []web.Option
	for _, container := range sortedContainers(all) {
		if container.HoldsML > 0 {
			options = append(options, web.Option{Value: keyText(container.ID), Label: container.Name + ", " + fullWords(container)})
		}
	}
	if len(options) == 0 {
		return nil
	}
	return []web.ActionForm{{
		Path: "/chemistry/waste/collect", Button: "It was collected", Say: "Only a licensed hauler takes what the local code keeps out of the sewer.",
		Fields: []web.Field{
			required(t.field(web.Select, "container", "Container", "", choose("Choose the container", options)...)),
			hinted(required(measured(t.field(web.Number, "volume_ml", "Volume taken", ""), "mL")), "No more than is in it."),
			required(t.field(web.Text, "hauler", "Licensed hauler", "")),
			hinted(required(t.field(web.Text, "document", "Document number", "")), "Of the paper that goes with it."),
		},
	}}
}

// collect keeps what a hauler took.
func (p wastePages) collect(c echo.Context) error {
	if err := readForm(c, &struct{}{}); err != nil {
		return err
	}
	values := c.Request().PostForm
	var wrong faults
	taken := jobs.NewCollection{
		Container: jobs.ContainerID(key(values.Get("container"), "container", &wrong)), VolumeML: wholeML(values.Get("volume_ml"), "volume_ml", &wrong),
		Hauler: values.Get("hauler"), Document: values.Get("document"),
	}
	if values.Get("container") == "" {
		wrong.add("container", "choose the container that was taken or emptied")
	}
	if len(wrong.list) > 0 {
		return p.showWaste(c, typedIn(c, wrong))
	}
	kept, err := p.services.Waste.Collect(c.Request().Context(), actorOf(c), taken)
	if found, ok := staffFaults(err); ok {
		return p.showWaste(c, typedIn(c, found))
	}
	if err != nil {
		return err
	}
	return p.done(c, "/chemistry/waste", fmt.Sprintf("%s of %s are collected, document %s.", volumeWords(kept.VolumeML), kept.ContainerName, kept.Document))
}

// wasteLines writes the log, the last entry first.
func (d desk) wasteLines(log []jobs.WasteEntry) []web.WasteLine {
	lines := make([]web.WasteLine, len(log))
	for i, e := range log {
		line := web.WasteLine{
			At: d.moment(e.At), Container: e.ContainerName, Kind: sentence(string(e.WasteKind)), What: wasteWords(e), Why: e.Why, By: e.By,
			Source: web.Link{Label: e.SourceName, Path: sourcePath(e.Source)},
		}
		if e.Amount < 0 {
			line.Out = mlWords(-e.Amount)
		} else {
			line.In = mlWords(e.Amount)
		}
		lines[i] = line
	}
	return lines
}

// wasteWords say how something came into a container, or left it.
func wasteWords(e jobs.WasteEntry) string {
	switch e.Kind {
	case jobs.EntryDumped, jobs.EntryCollected, jobs.EntryUsedOnce:
		return moveWords[e.Kind]
	}
	return "Flowed over"
}

// sourcePath leads to what waste came out of, "" where that has no page.
func sourcePath(e jobs.Entry) string {
	switch {
	case e.Fill != 0:
		return fillPath(e.Fill)
	case e.Mix != 0:
		return mixPath(e.Mix)
	case e.Lot != 0:
		return lotPath(e.Lot)
	}
	return ""
}

// stampIn writes a moment of the lab for print and tables.
func (d desk) stampIn(t time.Time) string { return t.In(d.zone).Format("2006-01-02 15:04") }
