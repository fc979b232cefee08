package web

// ChemistryPage shows every fill in use, by line.
type ChemistryPage struct {
	Frame
	Lines   []ChemistryLine
	Wanting []FillCard // in use, and wanting to be replaced now or soon
	Dumped  []FillCard // of the last 30 days
	CanAdd  bool       // there is a line and a solution to pour
}

// Template names the page's file.
func (*ChemistryPage) Template() string { return "chemistry" }

// ChemistryLine is a line with what is in its tanks.
type ChemistryLine struct {
	Name    string
	Runs    string
	Fills   []FillCard
	Missing []Link // solutions that the line could hold and does not
}

// FillCard is one fill and how it stands.
type FillCard struct {
	ID         int64
	Solution   string
	Kind       string // what it does, and in which process
	Line       string
	Volume     string
	Filled     Moment
	Age        string
	Rolls      int
	Area       string
	Verdict    Chip
	Say        string // what to do now
	Use        Gauge
	RollsLeft  string
	RunsOut    string
	Outlook    string // what is foretold, in a sentence
	Longer     string // by how much the next time is longer
	Reasons    []FillReason
	Unrecorded []string
	Dumped     Moment // empty while in use
	DumpReason string
}

// FillReason is one thing that speaks for a verdict.
type FillReason struct {
	Class, Text string
}

// Gauge is a share drawn as a bar, with its figure.
type Gauge struct {
	Known   bool
	Percent int    // how much of the bar is filled, 0 to 100
	Figure  string // in words, as in "43 %"
	Class   string // the weight of the verdict
}

// FillPage is one fill with its ledger.
type FillPage struct {
	Frame
	Fill     FillCard
	Ledger   []LedgerLine
	Recipe   string // address of its recipe, "" for who may not see it
	CanDump  bool
	Reason   Field
	Cautions []string // for dumping
	Care     []string // for using it
	Course   FillCourse
}

// Template names the page's file.
func (*FillPage) Template() string { return "fill" }

// LedgerLine is what one batch brought into a fill.
type LedgerLine struct {
	At    Moment
	Batch int64
	Rolls int
	Area  string
	Total string // through the fill until then
	By    string
}

// PourPage records a fresh fill: first what goes where, then how much of it.
type PourPage struct {
	Frame
	Line, Solution Field
	Chosen         *PourChosen // nil until line and solution are chosen
}

// Template names the page's file.
func (*PourPage) Template() string { return "pour" }

// PourChosen is what is about to be poured.
type PourChosen struct {
	LineID, SolutionID int64
	Line, Solution     string
	Kind               string
	Holds              int64 // the fill that is still in the tank, 0 for none
	Volume             Field
	Cautions           []string
}
