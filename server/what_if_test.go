package server_test

import (
	"fmt"
	"net/http"
	"net/url"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
)

// tankOfDeveloper pours 9 L of a replenished colour developer into the drum.
func (l *lab) tankOfDeveloper(t *testing.T) jobs.Fill {
	t.Helper()
	developer, err := l.services.Catalogue.SaveSolution(t.Context(), jobs.Program, jobs.Solution{
		Name: "Colour developer", Process: chemistry.C41, Family: chemistry.ColourDeveloper, Use: chemistry.Replenished, TempC: 37.8,
		Replenisher: chemistry.ReplenishRate{MLPerM2: 45 / chemistry.FilmUnitArea}, Bromide: chemistry.BromideFigures{ReleasedMGPerRoll: 50},
		MinimumMLPerRoll: 250, ReplenisherCostPerL: 3, Active: true,
	})
	if err != nil {
		t.Fatal(err)
	}
	fill, err := l.services.Fills.PourFill(t.Context(), jobs.Program, jobs.Pour{Solution: developer.ID, Line: l.line(t, "Drum").ID, VolumeML: 9000})
	if err != nil {
		t.Fatal(err)
	}
	return fill
}

// A roll that gives off 50 mg into 45 mL of replenisher brings bromide to
// 1.11 g/L (mass balance); at half the rate to 2.22.
func TestWhatIf(t *testing.T) {
	t.Parallel()
	l := open(t)
	fill := l.tankOfDeveloper(t)
	b := browse(t, l.URL).signIn("Wren")
	b.get("/chemistry").says("main nav, nav", "What if")
	b.get("/chemistry/what-if").status(http.StatusOK).says("main", "Choose a fill or a solution")
	before := l.catalogue(t)

	of := fmt.Sprintf("/chemistry/what-if?of=fill-%d", fill.ID)
	page := b.get(of).status(http.StatusOK)
	page.says("h2#compared", "Colour developer in Drum, 30 days ahead")
	page.says("table.compared", "Bromide in the end1.11 g/L")
	page.says("table.compared", "Replenisher for a roll45 mL")
	page.says("table.compared", "Tank turnoversnot known")
	page.says("main", "How much film goes through it: none did lately")

	change := url.Values{"replenish_ml_per_m2": {"22.5 a roll"}, "rolls_per_day": {"20"}, "volume_ml": {"4.5 L"}, "replenisher_ml": {"4500"}, "days": {"10"}}
	page = b.get(of + "&" + change.Encode()).status(http.StatusOK)
	for _, want := range []string{
		"Bromide in the end1.11 g/L as KBr2.22 g/L as KBr", "Tank turnoversnot known0.1 a day, 0.7 a week",
		"Steady afternot knownabout 30 days", "Share of the way by thennot known63.2 %", "One load holds at most36 rolls of 80 in²18 rolls of 80 in²",
		"Replenisher a day0 mL450 mL", "Cost a month of 30 days", "40.5", "Capacity used upnot while every roll is replenishedthe same",
	} {
		page.says("table.compared", want)
	}
	for field, typed := range map[string]string{
		"replenish_ml_per_m2": "a lot", "rolls_per_day": "-1", "volume_ml": "0", "replenisher_ml": "much", "replenisher_cost_per_l": "-1", "days": "0",
	} {
		if fault := b.get(of + "&" + field + "=" + url.QueryEscape(typed)).status(http.StatusUnprocessableEntity).faultBeside(field); fault == "" {
			t.Errorf("%s = %s: nothing is said", field, typed)
		}
	}
	for _, of := range []string{"fill", "tank-1", "fill-x", "fill-0x1"} {
		if fault := b.get("/chemistry/what-if?of=" + of).status(http.StatusUnprocessableEntity).faultBeside("of"); fault == "" {
			t.Errorf("%s: nothing is said", of)
		}
	}
	b.get("/chemistry/what-if?of=fill-999").status(http.StatusNotFound)
	b.get("/chemistry/what-if?of=solution-999").status(http.StatusNotFound)
	// A solution that is not replenished is asked for nothing that it has not.
	mq := b.get(fmt.Sprintf("/chemistry/what-if?of=solution-%d", l.solution(t, "MQ borax").ID)).status(http.StatusOK)
	mq.says("table.compared", "Mixed for a roll103.2 mL") // 0.5 m² a litre
	if diff := cmp.Diff(before, l.catalogue(t)); diff != "" {
		t.Errorf("something is written:\n%s", diff)
	}
	b.get(fmt.Sprintf("/fills/%d", fill.ID)).says("[aria-labelledby=stands]", "version 1 of the recipe · The recipe now · What if it were changed?")
	staff := browse(t, l.URL).signIn("Kit")
	staff.get(fmt.Sprintf("/fills/%d", fill.ID)).says("[aria-labelledby=stands]", "Poured by version 1 of the recipe")
	staff.get(of).status(http.StatusForbidden)
}
