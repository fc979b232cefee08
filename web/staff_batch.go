package web

// PlanPage proposes batches and shows the open ones.
type PlanPage struct {
	Frame
	At       Moment
	Proposed []Proposed
	Proven   bool
	Left     []LeftLine
	Hand     ActionForm // a batch made by hand
	Picks    []RollLine
	MorePick int // queued rolls that are not listed
	Open     []BatchWork
	Chart    Timeline
	Queued   int
}

// Template names the page's file.
func (*PlanPage) Template() string { return "plan" }

// Proposed is a batch that the plan suggests.
type Proposed struct {
	BatchLine
	Index   int
	LineKey int64
	Keys    string // of its rolls, "12,15"
	StartAt string // its planned start as a stamp
	Why     string
	First   string // what has to be done before it starts
	LateN   int
}

// LeftLine is a roll in no proposed batch.
type LeftLine struct {
	Roll   RollLine
	Reason string
}

// BatchWork is an open batch with what can be done to it.
type BatchWork struct {
	BatchLine
	Free    bool    // rolls can be moved
	First   string  // what has to be done before it starts
	Targets []Field // one: where rolls can go
	Forms   []ActionForm
}

// Timeline draws when each line is taken. Places are in per cent of the width.
type Timeline struct {
	Label string
	Hours []Mark
	Lanes []Lane
}

// Mark is an hour along the top.
type Mark struct {
	X    float64
	Word string
}

// Lane is what one line does.
type Lane struct {
	Name string
	Bars []Bar
}

// Bar is one batch on a line.
type Bar struct {
	X, Width float64
	Class    string // "open", "running" or "proposed"
	Word     string
	Title    string
}

// BatchesPage lists batches, the newest first.
type BatchesPage struct {
	Frame
	Batches []BatchLine
	Older   string
}

// Template names the page's file.
func (*BatchesPage) Template() string { return "batches" }

// BatchPage is a batch with its run sheet.
type BatchPage struct {
	Frame
	Batch    BatchWork
	Started  Moment
	Ended    Moment
	Reason   string
	Override string     // why an owner let it start although something spoke against it
	Against  []string   // what speaks against a start, or was overridden
	MixFirst []DoseLine // one-shot solutions that are mixed for it
	PourNext []DoseLine // what is poured after it
	NoSheet  string     // why there is no run sheet
	Sheet    *Sheet
	Start    []ActionForm // one, or none when it cannot start
	Reading  []ActionForm // one while it runs
	Finish   *Ending
	Stop     *Ending
	Lost     []Hidden // what was typed into a form that is not offered any more
	Readings []ReadingLine
	Events   []EventLine
}

// Template names the page's file.
func (*BatchPage) Template() string { return "batch" }

// Sheet is what the operator follows.
type Sheet struct {
	DevelopS  int
	Temp      string
	Developer string
	Steps     []StepLine
	Cautions  []string
	Factors   []FactorLine
	Units     string
}

// StepLine is one step at the line.
type StepLine struct {
	Number    int
	Name      string
	Solution  string
	Seconds   int // 0 when it takes as long as it needs
	Time      string
	Temp      string
	Agitation string
	Drain     string
	Cautions  []string
	Source    string
	Develop   bool
}

// FactorLine is one number of the sum behind a time.
type FactorLine struct{ Name, Value, Source string }

// ReadingLine is a temperature that was taken.
type ReadingLine struct {
	At             Moment
	By, Step, Temp string
	Note           string
}

// Ending asks what became of the rolls when a batch ends.
type Ending struct {
	Form ActionForm
	Rows []OutcomeRow
}

// OutcomeRow is what became of one roll.
type OutcomeRow struct {
	Roll          RollLine
	RollName      string // name of the hidden field
	State, Reason Field
}
