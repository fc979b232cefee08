package server

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// dosePages confirm what was poured for film.
type dosePages struct{ *site }

// doseRoutes lists the addresses of these pages.
func doseRoutes(s *site) []Route {
	p := dosePages{s}
	return []Route{
		{http.MethodGet, "/doses/:id", "dose", StaffOnly, "", nil, p.dose},
		{http.MethodPost, "/doses/:id", "confirm a dose", StaffOnly, "", nil, p.confirm},
	}
}

func dosePath(id jobs.DoseID) string { return "/doses/" + strconv.FormatInt(int64(id), 10) }

// mostDoses is how many open doses a page lists.
const mostDoses = 500

// openDoses lists what nobody has confirmed, the oldest first.
func (s *site) openDoses(c echo.Context, query jobs.DoseQuery) ([]jobs.Dose, error) {
	query.Open, query.Limit = true, mostDoses
	open, err := s.services.Doses.Doses(c.Request().Context(), query)
	slices.Reverse(open)
	return open, err
}

// dose shows what film calls for in one bath.
func (p dosePages) dose(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	return p.showDose(c, jobs.DoseID(id), typed{})
}

func (p dosePages) showDose(c echo.Context, id jobs.DoseID, t typed) error {
	ctx := c.Request().Context()
	dose, err := p.services.Doses.Dose(ctx, id)
	if err != nil {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	solution := catalogue.Solutions[dose.Solution]
	d := p.desk(c)
	page := &web.DosePage{
		Frame: web.Frame{Title: dose.SolutionName + " for batch " + keyText(dose.Batch), Problems: t.wrong.problems()},
		Dose:  d.doseLine(dose), Fill: int64(dose.Fill), FillName: dose.SolutionName + " in " + dose.LineName,
		Care: chemistry.Cautions(solution.Family),
	}
	if dose.Given != nil {
		page.GivenAt = d.moment(dose.Given.At)
		return p.show(c, t.wrong.status(), page)
	}
	mixes, err := p.services.Mixes.Mixes(ctx)
	if err != nil {
		return err
	}
	own := slices.DeleteFunc(mixes, func(m jobs.Mix) bool {
		return m.Solution != dose.Solution || m.Preparation != dose.Preparation() || m.LeftML <= 0
	})
	if len(own) == 0 {
		page.NoMix = "No mix of it is on record, so this cannot be taken from one. Record what you mix, and the waste and the stock stay right."
	}
	page.Form = []web.ActionForm{doseForm(dose, own, proposed(own, dose.RoundedML(), solution, d.now.In(d.zone)), t)}
	return p.show(c, t.wrong.status(), page)
}

// doseForm asks what was really poured.
func doseForm(dose jobs.Dose, mixes []jobs.Mix, from jobs.MixID, t typed) web.ActionForm {
	ml, why := strconv.Itoa(dose.RoundedML()), ""
	if !dose.DumpedAt.IsZero() {
		ml, why, from = "0", "Its fill was dumped before anything was poured.", 0
	}
	return web.ActionForm{
		Path: dosePath(dose.ID), Button: "It is poured", Class: "primary large",
		Fields: []web.Field{
			hinted(required(measured(t.field(web.Number, "ml", "Poured", ml), "mL")), fmt.Sprintf("%.1f mL are called for.", dose.CalledML)),
			t.field(web.Select, "mix", "From the mix", plainInt(from), mixOptions(mixes)...),
			hinted(t.field(web.Text, "why", "Note", why), "Needed when nothing was poured, or a fifth more or less than called for."),
		},
	}
}

// mixOptions offers mixes with what is left of each.
func mixOptions(mixes []jobs.Mix) []web.Option {
	options := []web.Option{{Label: "Not on record"}}
	for _, mix := range mixes {
		options = append(options, web.Option{Value: keyText(mix.ID), Label: mix.Name() + ", " + volumeWords(int(mix.LeftML)) + " left"})
	}
	return options
}

// proposed is the oldest mix that still keeps and has enough left; 0 for none.
func proposed(mixes []jobs.Mix, ml int, solution jobs.Solution, now time.Time) jobs.MixID {
	var oldest jobs.Mix
	for _, mix := range mixes {
		if mix.LeftML >= float64(ml) && mix.CheckAge(solution, now, "") == nil && (oldest.ID == 0 || mix.MixedAt.Before(oldest.MixedAt)) {
			oldest = mix
		}
	}
	return oldest.ID
}

// confirm records what was poured, and leads on to what is to be poured next
// for the same batch.
func (p dosePages) confirm(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	var form struct {
		ML  string `form:"ml"`
		Mix string `form:"mix"`
		Why string `form:"why"`
	}
	if err := readForm(c, &form); err != nil {
		return err
	}
	var wrong faults
	confirmed := jobs.Confirmation{ML: wholeML(form.ML, "ml", &wrong), Mix: jobs.MixID(key(form.Mix, "mix", &wrong)), Why: form.Why}
	if len(wrong.list) > 0 {
		return p.showDose(c, jobs.DoseID(id), typedIn(c, wrong))
	}
	dose, err := p.services.Doses.ConfirmDose(c.Request().Context(), actorOf(c), jobs.DoseID(id), confirmed)
	if found, ok := faultsOf(err); ok {
		return p.showDose(c, jobs.DoseID(id), typedIn(c, found))
	}
	if err != nil {
		return err
	}
	next := batchPath(dose.Batch)
	open, err := p.openDoses(c, jobs.DoseQuery{Batch: dose.Batch})
	if err != nil {
		return err
	}
	if len(open) > 0 {
		next = dosePath(open[0].ID)
	}
	return p.done(c, next, volumeWords(confirmed.ML)+" of "+dose.SolutionName+" for batch "+keyText(dose.Batch)+" are recorded.")
}

// wholeML reads a volume, which must be there.
func wholeML(text, field string, wrong *faults) int {
	if strings.TrimSpace(text) == "" {
		wrong.add(field, "the volume is missing")
		return 0
	}
	return count(text, field, wrong)
}
