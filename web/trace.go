package web

// tracePages lists the pages that say which film met which chemistry.
func tracePages() []Page {
	return []Page{&TracePage{}, &TraceMessagePage{}, &RollTracePage{}, &InspectionsPage{}}
}

// TracePage asks what to trace, or shows the rolls that a cause touched.
type TracePage struct {
	Frame
	Kind, Number, Since, Until Field
	Scan                       Field
	Recent                     []CauseGroup
	Open                       int // inspections that wait for a finding
	Result                     *TraceResult
}

// Template names the page's file.
func (*TracePage) Template() string { return "trace" }

// CauseGroup is causes of one kind to choose among.
type CauseGroup struct {
	Title  string
	Causes []CauseLine
}

// CauseLine is something that rolls may be traced from.
type CauseLine struct {
	Link
	At Moment
}

// TraceResult is what a cause touched.
type TraceResult struct {
	Name     string
	About    Link // the page of the cause
	Say      string
	Span     string
	Total    int // rolls
	Chosen   string
	Tabs     []Tab // by state
	Orders   []TracedOrder
	Pages    []Link
	Message  string // address of the messages to their owners
	Hidden   []Hidden
	Markable int // rolls that could be marked and are not, those delivered aside
	Away     int // rolls that are back with their owners, and not marked
	Why      Field
	WithAway Field // mark those too
}

// TracedOrder is an order with its rolls that were touched.
type TracedOrder struct {
	Order                  int64
	Customer, Email, Phone string
	Rolls                  []TracedRoll
}

// TracedRoll is a roll that was touched.
type TracedRoll struct {
	RollLine
	Batch    int64
	Line     string
	When     Moment
	Mark     Chip // empty where it is not marked for this cause
	Tickable bool
}

// TraceMessagePage writes to the owners of rolls.
type TraceMessagePage struct {
	Frame
	Name      string
	Back      string
	Hidden    []Hidden
	Text      Field
	Rolls     int
	Addresses Field // to copy
	ToCall    []OwnerLetter
	Letters   []OwnerLetter
	Owners    int
	Pages     []Link
	CSV       string
}

// Template names the page's file.
func (*TraceMessagePage) Template() string { return "trace-message" }

// OwnerLetter is a message to one owner.
type OwnerLetter struct {
	Name, Email, Phone string
	Rolls              []RollLine
	Text               Field
}

// RollTracePage is everything that a roll touched.
type RollTracePage struct {
	Frame
	Roll        RollLine
	Runs        []RollRun
	Inspections []InspectionLine
}

// Template names the page's file.
func (*RollTracePage) Template() string { return "roll-trace" }

// RollRun is a batch that a roll was developed in.
type RollRun struct {
	Batch          int64
	Line, What     string
	State          Chip
	Started, Ended Moment
	StartedBy      string
	EndedBy        string
	Override       string
	DevelopS       int
	Readings       []RunReading
	Baths          []RunBath
	Before, After  *RunStrip
}

// RunReading is a temperature that was taken.
type RunReading struct {
	At                   Moment
	Step, Temp, By, Note string
}

// RunBath is a solution that film went through.
type RunBath struct {
	Name   string
	Fill   int64 // 0 for a one-shot solution
	Filled Moment
	Recipe string
	Trace  string
	Mixes  []RunMix
}

// RunMix is a mix that was in a bath.
type RunMix struct {
	Name        string
	Mixed, In   Moment
	How, Recipe string
	By          string
	Trace       string
	Lots        []Link
}

// RunStrip is a control strip near a run.
type RunStrip struct {
	ID      int64
	At      Moment
	By      string
	Verdict Chip
	Trace   string // "" where it is good
}

// InspectionsPage lists what somebody has to look at.
type InspectionsPage struct {
	Frame
	Tabs             []Tab
	State            string
	Search, Kind     Field
	Inspections      []InspectionLine
	Tickable         bool
	Outcome, Finding Field
	Earlier          string
}

// Template names the page's file.
func (*InspectionsPage) Template() string { return "inspections" }

// InspectionLine is one roll to be looked at, or what was found.
type InspectionLine struct {
	ID      int64
	Roll    RollLine
	Cause   Link
	Why     string
	At      Moment
	By      string
	Done    Moment // empty while it is open
	DoneBy  string
	Outcome Chip
	Finding string

	Tickable, Ticked bool
}
