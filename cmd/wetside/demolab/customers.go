package demolab

import (
	"context"
	"fmt"
	"strings"

	"wetside/chemistry"
	"wetside/jobs"
)

// The demo's customers are put together from these; none of them exists.
var (
	firstNames = []string{"Alder", "Briar", "Clover", "Fern", "Hazel", "Ivy", "Juniper", "Linden", "Moss", "Rowan", "Sorrel", "Tansy"}
	lastNames  = []string{"Bittern", "Curlew", "Dunlin", "Fieldfare", "Grebe", "Knot", "Plover", "Redshank", "Siskin", "Teal", "Wigeon"}
)

// wish is one roll as a customer of the demo hands it in.
type wish struct {
	stock     string
	format    chemistry.Format
	exposures int
	light     chemistry.Light
	filter    string
	ei        int
	push      *chemistry.Stops
	note      string
}

func stops(s chemistry.Stops) *chemistry.Stops { return &s }

// wishes are what the demo's customers send in, in turn.
var wishes = []wish{
	{stock: "Sedge 160", format: chemistry.Format120, light: chemistry.LightDaylight, note: "Box speed, nothing special."},
	{stock: "Marl 400", format: chemistry.Format135, exposures: 36, light: chemistry.LightMixed, note: "Shot at 1600, push 2 please"},
	{stock: "Sedge 640", format: chemistry.Format135, exposures: 36, light: chemistry.LightTungsten, ei: 1250, push: stops(chemistry.Stop)},
	{stock: "Marl 125", format: chemistry.Format120, light: chemistry.LightDaylight},
	{stock: "Teal Slide 100", format: chemistry.Format135, exposures: 36, light: chemistry.LightDaylight, note: "Slides of the harbour regatta. Develop normal."},
	{stock: "Reedmace 320T, remjet removed", format: chemistry.Format135, exposures: 36, light: chemistry.LightTungsten},
	{stock: "Marl 400", format: chemistry.Format120, light: chemistry.LightDaylight, ei: 800, push: stops(chemistry.Stop)},
	{stock: "Sedge 160", format: chemistry.Format135, exposures: 24, light: chemistry.LightDaylight, ei: 100, note: "Rated at 100, no push needed."},
	{stock: "Reedmace 320T, remjet on", format: chemistry.Format135, exposures: 36, light: chemistry.LightDaylight, filter: "85", note: "Shot with the filter on, box speed."},
	{stock: "Sedge 640", format: chemistry.Format120, light: chemistry.LightDaylight},
	{stock: "Marl 400", format: chemistry.Format135, exposures: 36, light: chemistry.LightDaylight, note: "N+1, contrasty light was missing"},
	{stock: "Teal Slide 100", format: chemistry.Format120, light: chemistry.LightDaylight, ei: 200, push: stops(chemistry.Stop)},
	{stock: "Marl 125", format: chemistry.Format135, exposures: 36, light: chemistry.LightDaylight, note: "pull one stop please, beach at noon"},
	{stock: "Sedge 160", format: chemistry.Format220, light: chemistry.LightDaylight},
	{stock: "Marl 400", format: chemistry.Format4x5, exposures: 4, light: chemistry.LightDaylight},
	{stock: "Sedge 640", format: chemistry.Format135, exposures: 36, light: chemistry.LightMixed, note: "maybe push 1 or 2? a concert, very dark"},
	{stock: "Marl 400", format: chemistry.Format135, exposures: 36, light: chemistry.LightMixed, note: "I shot this one at 1600."},
}

// shopFile is what a shop of the demo handed in.
const shopFile = `reference,name,email,stock,format,exposures,ei,push,note
TR-204,Juniper Knot,juniper.knot@example.org,Marl 400,135,36,,,"shot at 1600, push 2 please"
TR-204,,,Sedge 160,120,,,,
TR-205,Sorrel Siskin,sorrel.siskin@example.org,Sedge 640,135,36,1250,1,
TR-206,Tansy Wigeon,tansy.wigeon@example.org,Marl 400,135,36,,,"maybe push 1? a cellar, no meter"
`

// takeFile takes the orders of the shop in.
func (l *lab) takeFile(ctx context.Context) error {
	file, err := jobs.ParseOrderFile(shopFile)
	if err != nil {
		return err
	}
	_, _, err = l.Imports.Import(ctx, l.staff, file, "")
	return err
}

// order makes the order of the demo with that number, from 0.
func (l *lab) order(n int) jobs.NewOrder {
	first, last := firstNames[n%len(firstNames)], lastNames[l.random.IntN(len(lastNames))]
	order := jobs.NewOrder{
		Name:   first + " " + last,
		Email:  fmt.Sprintf("%s.%s@example.org", strings.ToLower(first), strings.ToLower(last)),
		Return: jobs.Collect,
	}
	if n%3 == 0 {
		order.Return = jobs.Post
		order.Address = fmt.Sprintf("%d Tidal Row, Sallow Quay", 2+l.random.IntN(90))
	}
	for range 1 + l.random.IntN(3) {
		order.Rolls = append(order.Rolls, l.roll(wishes[l.random.IntN(len(wishes))]))
	}
	return order
}

func (l *lab) roll(w wish) jobs.NewRoll {
	return jobs.NewRoll{
		Stock: l.stocks[w.stock].ID, Format: w.format, Exposures: w.exposures,
		Light: w.light, Filter: w.filter, EI: w.ei, Push: w.push, Note: w.note,
		Service: jobs.Service{CutAndSleeve: true, Scan: l.random.IntN(3) > 0, ReturnNegatives: l.random.IntN(5) > 0},
	}
}
