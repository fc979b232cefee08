package server

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// mixingPages say how to mix, and keep what was mixed.
type mixingPages struct{ *site }

// mixingForm is what was mixed, as it was typed.
type mixingForm struct {
	Solution    string    `form:"solution"`
	Preparation string    `form:"preparation"`
	Volume      string    `form:"volume_ml"`
	Storage     string    `form:"storage"`
	Note        string    `form:"note"`
	Uses        []useForm `form:"lots" most:"50"`
}

type useForm struct {
	Lot    string `form:"lot"`
	Amount string `form:"amount"`
}

func mixingPath(solution jobs.SolutionID, preparation jobs.Preparation, ml int) string {
	values := url.Values{"solution": {keyText(solution)}, "preparation": {string(preparation)}}
	if ml > 0 {
		values.Set("volume_ml", strconv.Itoa(ml))
	}
	return "/chemistry/mixing?" + values.Encode()
}

// request reads what is to be mixed.
func (f mixingForm) request(wrong *faults) jobs.MixRequest {
	request := jobs.MixRequest{Solution: jobs.SolutionID(key(f.Solution, "solution", wrong)), Preparation: jobs.Preparation(f.Preparation)}
	if f.Solution == "" {
		wrong.add("solution", "choose the solution that is mixed")
	}
	request.VolumeML = wholeML(f.Volume, "volume_ml", wrong)
	return request
}

// sheet asks what is to be mixed, and then says how.
func (p mixingPages) sheet(c echo.Context) error {
	form := mixingForm{Solution: c.QueryParam("solution"), Preparation: c.QueryParam("preparation"), Volume: c.QueryParam("volume_ml")}
	if form.Preparation == "" {
		form.Preparation = string(jobs.Working)
	}
	if form.Volume == "" && !c.QueryParams().Has("volume_ml") {
		return p.askMix(c, form, faults{})
	}
	var wrong faults
	request := form.request(&wrong)
	if len(wrong.list) > 0 {
		return p.askMix(c, form, wrong)
	}
	return p.showSheet(c, request, form, faults{})
}

// askMix asks what is to be mixed.
func (p mixingPages) askMix(c echo.Context, form mixingForm, wrong faults) error {
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil {
		return err
	}
	fields := newTypedForm(form, wrong)
	return p.show(c, wrong.status(), &web.MixingPage{
		Frame:    web.Frame{Title: "Mix a solution", Problems: wrong.problems()},
		Solution: fields.needed(web.Select, "solution", "Solution", "", solutionOptions(catalogue)...),
		Preparation: fields.needed(web.Radio, "preparation", "What is mixed of it", "",
			web.Option{Value: string(jobs.Working), Label: "Working solution", Hint: "What film goes through."},
			web.Option{Value: string(jobs.ReplenisherMixture), Label: "Replenisher", Hint: "What keeps a replenished tank going."}),
		Volume: measured(fields.needed(web.Number, "volume_ml", "Volume to mix", "Whole mL, as in 5000."), "mL"),
	})
}

// record keeps what was mixed.
func (p mixingPages) record(c echo.Context) error {
	var form mixingForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	var wrong faults
	mixed := jobs.NewMix{MixRequest: form.request(&wrong), Storage: chemistry.Storage(form.Storage), Note: form.Note}
	if len(wrong.list) > 0 {
		return p.askMix(c, form, wrong)
	}
	rows := []int{} // of the form, by the place among the lots
	for i, use := range form.Uses {
		field := fmt.Sprintf("lots[%d]", i)
		amount := strings.TrimSpace(use.Amount)
		switch {
		case use.Lot == "" && amount == "":
			continue
		case use.Lot == "":
			wrong.add(field+".lot", "choose the lot of which %s were taken", amount)
		case amount == "":
			continue // nothing of this lot
		}
		rows = append(rows, i)
		mixed.Lots = append(mixed.Lots, jobs.LotUse{
			Lot: jobs.LotID(key(use.Lot, field+".lot", &wrong)), Amount: decimal(amount, field+".amount", "amount", &wrong)})
	}
	if len(wrong.list) > 0 {
		return p.showSheet(c, mixed.MixRequest, form, wrong)
	}
	mix, err := p.services.Mixes.RecordMix(c.Request().Context(), actorOf(c), mixed)
	if found, ok := faultsOf(err); ok {
		return p.showSheet(c, mixed.MixRequest, form, found.renamed(func(field string) string { return inRow(field, rows) }))
	}
	if err != nil {
		return err
	}
	return p.done(c, mixPath(mix.ID), fmt.Sprintf("%s of %s are mixed. Label the bottle: mix %d.", volumeWords(mix.VolumeML), mix.SolutionName, mix.ID))
}

// inRow names a field of a lot by its row in the form, where some are left
// empty.
func inRow(field string, rows []int) string {
	rest, ok := strings.CutPrefix(field, "lots[")
	if !ok {
		return field
	}
	digits, rest, _ := strings.Cut(rest, "]")
	if i, err := strconv.Atoi(digits); err == nil && i < len(rows) {
		return fmt.Sprintf("lots[%d]%s", rows[i], rest)
	}
	return field
}

// showSheet shows the mixing sheet with the form that records the mix.
func (p mixingPages) showSheet(c echo.Context, request jobs.MixRequest, form mixingForm, wrong faults) error {
	ctx := c.Request().Context()
	sheet, err := p.services.Mixes.MixingSheet(ctx, request)
	if found, ok := faultsOf(err); ok {
		return p.askMix(c, form, found)
	}
	if err != nil {
		return err
	}
	lots, err := p.services.Lots.Lots(ctx)
	if err != nil {
		return err
	}
	if c.Request().Method == http.MethodGet {
		form.Uses = proposedUses(sheet)
	}
	d := p.desk(c)
	page := &web.MixingPage{
		Frame: web.Frame{Title: "Mixing sheet: " + sheet.Recipe.Name, Problems: wrong.problems()},
		Sheet: d.sheet(sheet, lots),
	}
	fields := newTypedForm(form, wrong)
	page.Sheet.Uses = useFields(fields, sheet, form, lots, d)
	page.Sheet.Storage = fields.field(web.Select, "storage", "How it is kept", "", choose("Not said", wordOptions(chemistry.Storages))...)
	page.Sheet.Note = fields.field(web.Text, "note", "Note", "Needed where a lot is not known, or something else went in.")
	return p.show(c, wrong.status(), page)
}

// proposedUses fills the form in as the sheet proposes.
func proposedUses(sheet jobs.MixingSheet) []useForm {
	var uses []useForm
	for _, part := range sheet.Parts {
		for _, use := range part.Lots {
			uses = append(uses, useForm{keyText(use.Lot), plainFloat(use.Amount)})
		}
	}
	return uses
}

// spareRows is how many rows stand empty below what is proposed, for other
// lots.
const spareRows = 2

// useFields are the rows for what went in: what was proposed or typed, then
// empty ones.
func useFields(fields typedForm, sheet jobs.MixingSheet, form mixingForm, lots []jobs.Lot, d desk) []web.UseFields {
	var options []web.Option
	units := map[string]string{}
	for _, lot := range lots {
		if lot.Left > 0 && !lot.Expired(d.local()) {
			options = append(options, web.Option{Value: keyText(lot.ID), Label: lot.Name() + ", " + amountWords(lot.Left, lot.Unit) + " left"})
		}
		units[keyText(lot.ID)] = string(lot.Unit)
	}
	var rows []web.UseFields
	for i := range len(form.Uses) + spareRows {
		lot := fields.field(web.Select, fmt.Sprintf("lots[%d].lot", i), fmt.Sprintf("Lot %d", i+1), "", choose("None", options)...)
		amount := fields.field(web.Number, fmt.Sprintf("lots[%d].amount", i), fmt.Sprintf("Amount of lot %d", i+1), "")
		rows = append(rows, web.UseFields{Lot: lot, Amount: measured(amount, units[lot.Value])})
	}
	return rows
}

// sheet writes the mixing sheet for people.
func (d desk) sheet(s jobs.MixingSheet, lots []jobs.Lot) *web.MixingSheet {
	byKey := map[jobs.LotID]jobs.Lot{}
	for _, lot := range lots {
		byKey[lot.ID] = lot
	}
	shown := &web.MixingSheet{
		SolutionID: int64(s.Solution), VolumeML: int64(s.VolumeML), Preparation: string(s.Preparation), Name: s.Recipe.Name, Kind: solutionKind(s.Recipe),
		Volume: volumeWords(s.VolumeML), Recipe: fmt.Sprintf("version %d", s.Recipe.Version), Steps: s.Steps(), Cautions: s.Cautions,
		Water: mlWords(s.WaterML), Ready: len(s.Parts) == 0,
	}
	if s.Preparation == jobs.ReplenisherMixture {
		shown.Name += ", replenisher"
	}
	for _, part := range s.Parts {
		line := web.SheetPartLine{Name: part.Name, Amount: plainAmount(part.Amount, part.Unit), PerL: plainAmount(part.AmountPerL, part.Unit) + " a litre", Acid: part.Acid}
		for _, use := range part.Lots {
			lot := byKey[use.Lot]
			words := fmt.Sprintf("lot %s: %s", lot.Number, plainAmount(use.Amount, lot.Unit))
			if !lot.ExpiresOn.IsZero() {
				words += ", good until " + lot.ExpiresOn.Format(dayWords)
			}
			line.Lots = append(line.Lots, words)
		}
		if part.Missing > 0 {
			line.Missing, shown.CanReceive = plainAmount(part.Missing, part.Unit)+" not in stock", true
		}
		shown.Parts = append(shown.Parts, line)
	}
	for _, keeps := range s.Keeps {
		storage := "However it is kept"
		if keeps.Storage != "" {
			storage = sentence(string(keeps.Storage))
		}
		shown.Keeps = append(shown.Keeps, web.KeepsLine{Storage: storage, Until: keeps.Until.In(d.zone).Format(dayWords), Source: keeps.Source.Text})
	}
	return shown
}
