package server

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// crossPairs is how many pairs of strips a form asks for.
const crossPairs = 3

// newBox asks for the process of a new box, and then for the box.
func (p stripPages) newBox(c echo.Context) error {
	process := chemistry.Process(c.QueryParam("process"))
	if !slices.Contains(chemistry.Processes, process) {
		page := &web.StripBoxPage{Frame: web.Frame{Title: "Open a box of strips"}}
		for _, one := range chemistry.Processes {
			page.Processes = append(page.Processes, web.Link{Label: string(one), Path: "/chemistry/strip-boxes/new?process=" + url.QueryEscape(string(one))})
		}
		return p.show(c, http.StatusOK, page)
	}
	return p.showBox(c, jobs.StripBox{Process: process}, boxValues(jobs.StripBox{Process: process, Limits: jobs.StartLimits(process)}), faults{}, nil)
}

// openBox puts a box into use.
func (p stripPages) openBox(c echo.Context) error {
	if err := readForm(c, &struct{}{}); err != nil {
		return err
	}
	values := c.Request().PostForm
	box := jobs.StripBox{Process: chemistry.Process(values.Get("process"))}
	if !slices.Contains(chemistry.Processes, box.Process) {
		return jobs.Errorf(jobs.Invalid, "There is no such process.")
	}
	var wrong faults
	draft := boxDraftOf(values, box.Process, &wrong)
	if len(wrong.list) > 0 {
		return p.showBox(c, box, firstValues(values), wrong, nil)
	}
	opened, err := p.services.Strips.OpenBox(c.Request().Context(), actorOf(c), draft)
	if found, ok := faultsOf(err); ok {
		return p.showBox(c, box, firstValues(values), found.renamed(inBoxForm), nil)
	}
	if err != nil {
		return err
	}
	return p.done(c, "/chemistry/strips", fmt.Sprintf("Box %s of %s strips is in use. Every line that runs %s now needs a strip a day.", opened.Number, opened.Process, opened.Process))
}

func (p stripPages) boxInPath(c echo.Context) (jobs.StripBox, error) {
	id, err := keyInPath(c)
	if err != nil {
		return jobs.StripBox{}, err
	}
	return p.services.Strips.Box(c.Request().Context(), jobs.StripBoxID(id))
}

// box shows a box to be corrected.
func (p stripPages) box(c echo.Context) error {
	box, err := p.boxInPath(c)
	if err != nil {
		return err
	}
	return p.showBox(c, box, boxValues(box), faults{}, nil)
}

// saveBox corrects a box.
func (p stripPages) saveBox(c echo.Context) error {
	if err := readForm(c, &struct{}{}); err != nil {
		return err
	}
	box, err := p.boxInPath(c)
	if err != nil {
		return err
	}
	values := c.Request().PostForm
	var wrong faults
	draft, version := boxDraftOf(values, box.Process, &wrong), count(values.Get("version"), "", &wrong)
	if len(wrong.list) > 0 {
		return p.showBox(c, box, firstValues(values), wrong, nil)
	}
	saved, err := p.services.Strips.ChangeBox(c.Request().Context(), actorOf(c), box.ID, version, draft)
	if jobs.CodeOf(err) == jobs.Stale {
		typed, stored := firstValues(values), boxValues(box)
		typed["version"] = stored["version"]
		return p.showBox(c, box, typed, changedMeanwhile("this box"), stored)
	}
	if found, ok := faultsOf(err); ok {
		return p.showBox(c, box, firstValues(values), found.renamed(inBoxForm), nil)
	}
	if err != nil {
		return err
	}
	return p.done(c, "/chemistry/strips", fmt.Sprintf("Box %s is saved. What was judged by it stays as it was.", saved.Number))
}

// useBox puts a box away, or back into use.
func (p stripPages) useBox(c echo.Context) error {
	var form struct {
		Version string `form:"version"`
		Use     bool   `form:"use"`
	}
	if err := readForm(c, &form); err != nil {
		return err
	}
	box, err := p.boxInPath(c)
	if err != nil {
		return err
	}
	var wrong faults
	used, err := p.services.Strips.UseBox(c.Request().Context(), actorOf(c), box.ID, count(form.Version, "", &wrong), form.Use)
	if jobs.CodeOf(err) == jobs.Stale {
		return p.showBox(c, box, boxValues(box), changedMeanwhile("this box"), nil)
	}
	if found, ok := faultsOf(err); ok {
		return p.showBox(c, box, boxValues(box), found, nil)
	}
	if err != nil {
		return err
	}
	if used.Active {
		return p.done(c, "/chemistry/strips", fmt.Sprintf("Box %s is in use again.", used.Number))
	}
	return p.done(c, "/chemistry/strips", fmt.Sprintf("Box %s is put away. No line is watched in %s until a box is in use.", used.Number, used.Process))
}

// inBoxForm names the fields as the form does.
func inBoxForm(field string) string {
	if field == "pairs" {
		return "pairs[0].old"
	}
	return field
}

// boxDraftOf reads the form of a box.
func boxDraftOf(values url.Values, process chemistry.Process, wrong *faults) jobs.BoxDraft {
	draft := jobs.BoxDraft{
		Process: process, Number: values.Get("number"), Strips: count(values.Get("strips"), "strips", wrong),
		ExpiresOn:  calendarDay(values.Get("expires_on"), "expires_on", wrong),
		Aim:        typedDensities(values, "aim.", process, wrong),
		Correction: typedDensities(values, "correction.", process, wrong),
		Limits: chemistry.StripLimits{
			Limits: map[chemistry.StripParameter]chemistry.StripLimit{}, Source: chemistry.Source{Text: values.Get("limits_source")},
		},
	}
	for _, parameter := range jobs.StripParameters(process) {
		field := "limits." + jobs.LimitNames[parameter]
		draft.Limits.Limits[parameter] = chemistry.StripLimit{
			Action:  measure(values.Get(field+"_action"), field+"_action", wrong),
			Control: measure(values.Get(field+"_control"), field+"_control", wrong),
		}
	}
	for i := range crossPairs {
		prefix := fmt.Sprintf("pairs[%d].", i)
		fresh := typedDensities(values, prefix+"new.", process, wrong)
		old := key(values.Get(prefix+"old"), prefix+"old", wrong)
		if old != 0 || len(fresh) > 0 {
			draft.Pairs = append(draft.Pairs, jobs.CrossPair{Old: jobs.StripID(old), New: fresh})
		}
	}
	return draft
}

// boxValues are a box as its form shows it.
func boxValues(box jobs.StripBox) map[string]string {
	values := map[string]string{
		"process": string(box.Process), "number": box.Number, "strips": plainInt(box.Strips), "version": plainInt(box.Version),
		"limits_source": box.Limits.Source.Text,
	}
	if !box.ExpiresOn.IsZero() {
		values["expires_on"] = box.ExpiresOn.Format(time.DateOnly)
	}
	for parameter, limit := range box.Limits.Limits {
		field := "limits." + jobs.LimitNames[parameter]
		values[field+"_action"], values[field+"_control"] = plainFloat(limit.Action), plainFloat(limit.Control)
	}
	if box.ID != 0 {
		silver := box.Aim.DMaxBlue != 0 || box.Aim.YellowBlue != 0
		aim := jobs.DensitiesOf(box.Process, box.Aim)
		for _, patch := range jobs.Patches(box.Process) {
			if silver || !patch.Silver {
				values["aim."+patch.Name] = strconv.FormatFloat(aim[patch.Name], 'f', -1, 64)
			}
		}
	}
	return values
}

// limitSays tells what a parameter tells.
var limitSays = map[chemistry.StripParameter]string{
	chemistry.ParameterDMin: "fog; only high counts", chemistry.ParameterSpeed: "speed", chemistry.ParameterContrast: "contrast",
	chemistry.ParameterSpread: "between the colours", chemistry.ParameterSilver: "retained silver; only high counts",
}

func (p stripPages) showBox(c echo.Context, box jobs.StripBox, values map[string]string, wrong faults, stored map[string]string) error {
	fields := typedForm{values: values, wrong: wrong, stored: stored}
	process := box.Process
	page := &web.StripBoxPage{
		Frame: web.Frame{Title: fmt.Sprintf("Open a box of %s strips", process), Problems: wrong.problems()},
		Path:  "/chemistry/strip-boxes/new", New: box.ID == 0, Process: string(process), Version: values["version"], Keep: chemistry.StripStorage,
		Number:       fields.needed(web.Text, "number", "Number of the box", "As it is printed on it."),
		Strips:       fields.field(web.Number, "strips", "Strips in it", "They are counted down; empty where nobody has counted."),
		Expires:      fields.field(web.Text, "expires_on", "Good until", "As in 2026-09-30."),
		Aim:          fields.densityGrid("Reference strip, or the aim", "aim.", process, nil, false),
		Correction:   fields.densityGrid("Correction factors", "correction.", process, nil, false),
		LimitsFault:  web.Field{Name: "limits", Error: wrong.of("limits")},
		LimitsSource: fields.field(web.Text, "limits_source", "Where the limits are from", "The manual of the process and its table, or the lab’s own strips. Needed wherever they are not the published ones."),
		Published:    "The limits come from the manual of the process: none are published here. A parameter without limits is not judged.",
	}
	if process == chemistry.C41 {
		page.Published = "The limits of " + chemistry.C41StripLimits.Source.String() + ", stand here to begin with."
	}
	if process == chemistry.BW {
		page.Published += " Black and white is read in one channel, the visual one."
	}
	for _, parameter := range jobs.StripParameters(process) {
		field := "limits." + jobs.LimitNames[parameter]
		page.Limits = append(page.Limits, web.StripLimitRow{
			Name: sentence(string(parameter)), Say: limitSays[parameter],
			Action:  fields.field(web.Number, field+"_action", string(parameter)+", action limit", ""),
			Control: fields.field(web.Number, field+"_control", string(parameter)+", control limit", ""),
		})
	}
	if box.ID != 0 {
		describeBox(page, box, p.desk(c))
		return p.show(c, wrong.status(), page)
	}
	return p.showNewBox(c, page, process, fields)
}

// describeBox says what is known of a box that is there.
func describeBox(page *web.StripBoxPage, box jobs.StripBox, d desk) {
	row := d.boxRow(box, 0, true)
	page.Title, page.Path, page.State = fmt.Sprintf("Box %s of %s strips", box.Number, box.Process), row.Path, row.State
	switch {
	case box.Basis.Crossed != 0:
		page.Basis = append(page.Basis, fmt.Sprintf("Crossed over with %s from the box before it.", counted(len(box.Basis.Pairs), "pair of strips", "pairs of strips")))
	case box.Basis.Correction != (chemistry.StripReading{}):
		page.Basis = append(page.Basis, "Its aim is its reference strip with its correction factors; what stands below is the sum.")
	}
	page.Basis = append(page.Basis, row.Warn...)
	page.UsePath = row.Path + "/use"
	page.UseSay, page.UseButton = "Without a box in use no strip is asked for before film of this process runs.", "Put this box away"
	if !box.Active {
		page.Use, page.UseButton, page.UseSay = "yes", "Use this box again", "Lines are judged by it from the next strip on."
	}
}

// showNewBox adds what a new box may be crossed over from.
func (p stripPages) showNewBox(c echo.Context, page *web.StripBoxPage, process chemistry.Process, fields typedForm) error {
	ctx := c.Request().Context()
	boxes, err := p.services.Strips.Boxes(ctx)
	if err != nil {
		return err
	}
	at := slices.IndexFunc(boxes, func(b jobs.StripBox) bool { return b.Active && b.Process == process })
	if at < 0 {
		return p.show(c, fields.wrong.status(), page)
	}
	page.CrossFrom = boxes[at].Number
	page.Basis = append(page.Basis, fmt.Sprintf("It takes the place of box %s.", boxes[at].Number))
	strips, err := p.services.Strips.Strips(ctx, jobs.StripQuery{Process: process, Limit: 20})
	if err != nil {
		return err
	}
	d := p.desk(c)
	var options []web.Option
	for _, strip := range strips {
		if strip.Box == boxes[at].ID {
			options = append(options, web.Option{Value: keyText(strip.ID), Label: fmt.Sprintf("%s, %s: %s", d.moment(strip.At).Words, strip.LineName, strip.Result.Verdict)})
		}
	}
	for i := range crossPairs {
		prefix := fmt.Sprintf("pairs[%d].", i)
		page.Pairs = append(page.Pairs, web.CrossPairForm{
			Title: fmt.Sprintf("Pair %d", i+1),
			Old:   fields.field(web.Select, prefix+"old", "Strip of the old box", "", choose("Choose the strip", options)...),
			New:   fields.densityGrid("What the new strip reads", prefix+"new.", process, nil, false),
		})
		for name, value := range fields.values {
			page.CrossOpen = page.CrossOpen || value != "" && strings.HasPrefix(name, prefix)
		}
		page.CrossOpen = page.CrossOpen || fields.wrong.of(prefix+"old") != ""
	}
	return p.show(c, fields.wrong.status(), page)
}
