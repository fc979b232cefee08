package web

// ChemistryPage shows every fill in use, by line.
type ChemistryPage struct {
	Frame
	Lines   []ChemistryLine
	ToPour  []DoseLine // what film called for and nobody has confirmed, the oldest first
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
	Outlook    string   // what is foretold, in a sentence
	Longer     string   // by how much the next time is longer
	Holds      string   // how much is in it, where it is not the whole volume
	Add        []string // what to pour into it now
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
	Figures  []Figure
	ToPour   []DoseLine // what film called for and nobody has confirmed
	Ledger   []LedgerLine
	Tests    []ClearingLine
	Recipe   string       // address of its recipe, "" for who may not see it
	Version  int          // of the recipe that it was poured by
	Versions string       // address of the recipe's versions
	Trace    string       // address of all rolls that went through it
	WhatIf   string       // address where changing it is tried out, "" for who may not
	Acts     []ActionForm // what else may happen to it; none once it is dumped
	Dump     []ActionForm // one, or none once it is dumped

	Cautions []string // for dumping
	Care     []string // for using it
	Course   FillCourse
}

// Template names the page's file.
func (*FillPage) Template() string { return "fill" }

// Figure is one number that says how a fill stands.
type Figure struct{ Label, Value string }

// LedgerLine is one entry of a fill's ledger.
type LedgerLine struct {
	At     Moment
	What   string
	Batch  int64 // 0 for none
	Film   string
	Called string // replenisher that the film calls for
	Change string // mL in or out
	Off    string // by how much that is more or less than called for
	Holds  string // after it
	Total  string // film through the fill until then
	By     string
	Why    string
}

// ClearingLine is a clearing test of a fixer.
type ClearingLine struct {
	At         Moment
	Fresh, Now string
	By         string
}

// PourPage records a fresh fill: first what goes where, then how much of it.
type PourPage struct {
	Frame
	Line, Solution Field
	Mix            string      // that was chosen before, "" for none
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
	Volume, Mix        Field
	Override           []Field // one, for an owner where a mix is too old
	Mixing             string  // address of its mixing sheet
	Cautions           []string
}
