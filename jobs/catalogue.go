package jobs

import (
	"context"
	"time"

	"wetside/chemistry"
)

// StockID, SolutionID and LineID are the keys of the catalogue.
type (
	StockID    int64
	SolutionID int64
	LineID     int64
)

// Stock is a film stock in the lab's catalogue.
type Stock struct {
	ID       StockID
	Name     string
	Film     chemistry.Film
	DX       string       // DX number of its cartridges, "" when not known
	Solution SolutionID   // black and white: the developer it gets unless another is asked for; 0 for colour
	Times    []StockTimes // black and white: one set a solution
	Active   bool
	Version  int
}

// StockTimes are the developing times of a black-and-white stock in one
// solution, at box speed and pushed.
type StockTimes struct {
	Solution SolutionID
	Rows     []chemistry.BWRow    // at least one; box speed
	PushRows []chemistry.PushTime // at the first row's temperature; may be empty
	Source   string               // where the lab has them from
}

// Solution is a recipe: a developer, bleach, fixer and so on.
type Solution struct {
	ID      SolutionID
	Name    string
	Process chemistry.Process
	Family  chemistry.SolutionFamily
	Use     chemistry.UseMode
	TempC   float64 // working temperature, °C
	// PerRollPercent is how much longer each further film takes in a reused
	// solution, in per cent of the fresh time, for each litre of the fill.
	PerRollPercent float64
	// CapacityM2PerL is what a litre takes before it is changed, in m² of
	// film; 0 when the lab has not said.
	CapacityM2PerL float64
	B              float64 // time falls by e^(-B) per °C; 0 means fitted or the starting point
	PushFactor     float64 // time grows by this for a stop; 0 means the starting point
	// Replenisher is what an area of film calls for; zero where nobody has said.
	Replenisher      chemistry.ReplenishRate
	MinimumMLPerRoll float64 // working solution that a roll of 80 in² needs at least, mL; 0 where nobody has said
	Bromide          chemistry.BromideFigures
	Keeping          []chemistry.Keeping
	Parts            []Part // what a litre of each preparation is mixed from, in the order of mixing
	// What a litre costs to mix, in the lab's money; 0 where nobody has said.
	CostPerL, ReplenisherCostPerL float64
	Active                        bool
	Version                       int
}

// Preparation is what is mixed by a recipe.
type Preparation string

// The preparations.
const (
	Working            Preparation = "working"     // what film goes through
	ReplenisherMixture Preparation = "replenisher" // what keeps it going
)

// Preparations lists every preparation.
var Preparations = []Preparation{Working, ReplenisherMixture}

// Unit is what a part of a recipe is measured in.
type Unit string

// The units.
const (
	Millilitres Unit = "mL"
	Grams       Unit = "g"
)

// Units lists every unit.
var Units = []Unit{Millilitres, Grams}

// Part is one thing that a recipe asks for.
type Part struct {
	Preparation Preparation
	Name        string  // as on its bottle, which is how lots of it are found
	AmountPerL  float64 // for a litre of the preparation, in Unit
	Unit        Unit
	Acid        bool // added to water, never water to it
}

// RecipeVersion is a recipe as it was from one change to the next.
type RecipeVersion struct {
	At time.Time
	By string
	Solution
}

// Line is a processor, a tank set or hand tanks: what takes one load at a time.
type Line struct {
	ID         LineID
	Name       string
	Runs       []LineProcess
	Capacity   int                      // units of one load
	Takes      map[chemistry.Format]int // units that one roll of a format fills; a format left out does not fit
	Tanks      map[SolutionID]LineTank  // what its tanks hold; a solution left out, nobody has said
	Turnaround int                      // seconds a load takes beside its development
	Rotary     bool                     // continuous agitation, which shortens black-and-white times
	Active     bool
	Version    int
}

// LineTank is the tank of one solution in a line.
type LineTank struct {
	VolumeML int
	Storage  chemistry.Storage // how it stands between runs; "" where nobody has said
}

// LineProcess is a process that a line runs, in one variant of its cycle; ""
// is the standard one.
type LineProcess struct {
	Process chemistry.Process
	Variant string
}

// Runs reports whether the line runs a process.
func (l Line) RunsProcess(process chemistry.Process) bool {
	for _, run := range l.Runs {
		if run.Process == process {
			return true
		}
	}
	return false
}

// TestedTime is a colour developing time that the lab has tested itself.
type TestedTime struct {
	Process chemistry.Process
	chemistry.PushTime
}

// Lab is what the lab says about itself.
type Lab struct {
	Name string
	// ReadyHours is the least that the lab promises an order within, from its
	// submission; work before it makes the promise later, see [Catalogue.Promise].
	ReadyHours int
	// CombineBW lets black-and-white rolls of different push share a batch when
	// their times differ by no more than TolerancePercent.
	CombineBW        bool
	TolerancePercent float64
	// OpensAt (0 to 23) and ClosesAt (1 to 24) are the hours between which a
	// day's batches are planned.
	OpensAt, ClosesAt int
	ClosedOn          Weekdays  // never all of them
	Closures          []Closure // in their order, none over another
	TimeZone          string    // IANA name
	ReturnAddress     string
	Version           int
}

// Catalogue is everything the lab knows before a roll arrives, read together
// so that one decision sees one state of it.
type Catalogue struct {
	Lab       Lab
	Stocks    map[StockID]Stock
	Solutions map[SolutionID]Solution
	Lines     map[LineID]Line
	Tested    []TestedTime
}

// CatalogueService keeps the catalogue. Only an owner saves; the edge checks.
type CatalogueService interface {
	// Catalogue returns the whole of it, inactive entries included.
	Catalogue(ctx context.Context) (Catalogue, error)
	// SaveStock adds a stock (zero key) or changes one at its version: Invalid
	// with the fields, Duplicate for a name in use, Stale when changed since.
	SaveStock(ctx context.Context, by Actor, stock Stock) (Stock, error)
	// SaveSolution adds or changes a solution, as SaveStock does.
	SaveSolution(ctx context.Context, by Actor, solution Solution) (Solution, error)
	// RecipeVersions returns a solution as it was from each change to the next,
	// the latest first: NotFound when there is no such solution. Of what was
	// changed before there were versions, nothing is left.
	RecipeVersions(ctx context.Context, id SolutionID) ([]RecipeVersion, error)
	// Recipe returns one version of a solution: NotFound when it is not kept.
	Recipe(ctx context.Context, id SolutionID, version int) (RecipeVersion, error)
	// SaveLine adds or changes a line, as SaveStock does.
	SaveLine(ctx context.Context, by Actor, line Line) (Line, error)
	// SaveTested replaces the lab's tested colour times of a process.
	SaveTested(ctx context.Context, by Actor, process chemistry.Process, times []chemistry.PushTime) error
	// SaveLab changes what the lab says about itself at its version, its closures
	// aside.
	SaveLab(ctx context.Context, by Actor, lab Lab) (Lab, error)
	// AddClosure closes the lab on some days: Invalid with the fields.
	AddClosure(ctx context.Context, by Actor, closure Closure) (Closure, error)
	// RemoveClosure opens the lab again: NotFound when there is no such closure.
	RemoveClosure(ctx context.Context, by Actor, id ClosureID) error
}
