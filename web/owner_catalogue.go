package web

// StocksPage lists the film stocks.
type StocksPage struct {
	OwnerFrame
	Stocks []StockRow
}

// Template names the page's file.
func (*StocksPage) Template() string { return "stocks" }

// StockRow is a stock in the list.
type StockRow struct {
	ID                            int64
	Name, Process, Kind           string
	Remjet, Speed, Push, Solution string
	State                         Chip
}

// StockPage is the form of one stock.
type StockPage struct {
	OwnerFrame
	Entry
	Name, Process, Kind, Remjet, Balance Field
	ISODaylight, ISOTungsten             Field
	MaxPush, MaxPull, Unforgiving        Field
	DX, Active                           Field
	Solution                             Field
	Times                                []TimesFields
	ShowTimes                            bool // black and white, or not yet known
	CanAdd                               bool
	Worked                               []WorkedTimes // what the saved times come to
}

// Template names the page's file.
func (*StockPage) Template() string { return "stock" }

// TimesFields are the developing times of a stock in one solution.
type TimesFields struct {
	Index, Number                    int // counted from 0 and from 1
	Solution, Rows, PushRows, Source Field
}

// WorkedTimes shows what the times of a stock in a solution come to.
type WorkedTimes struct {
	Solution    string
	Coefficient string
	Examples    []WorkedTime
}

// WorkedTime is an example with the sum behind it.
type WorkedTime struct {
	What     string
	DevelopS int
	Factors  []WorkedFactor
	Cautions []string
	Fault    string // why there is no time
}

// WorkedFactor is one number of a sum.
type WorkedFactor struct{ Name, Value, Source string }

// SolutionsPage lists the solutions.
type SolutionsPage struct {
	OwnerFrame
	Solutions []SolutionRow
}

// Template names the page's file.
func (*SolutionsPage) Template() string { return "solutions" }

// SolutionRow is a solution in the list.
type SolutionRow struct {
	ID                                         int64
	Name, Process, Family, Use, Temp, Capacity string
	State                                      Chip
}

// CautionList is what to mind at one kind of work.
type CautionList struct {
	Work  string
	Lines []string
}

// LinesPage lists the lines.
type LinesPage struct {
	OwnerFrame
	Lines []LineRow
}

// Template names the page's file.
func (*LinesPage) Template() string { return "lines" }

// LineRow is a line in the list.
type LineRow struct {
	ID                                      int64
	Name, Runs, Capacity, Takes, Turnaround string
	State                                   Chip
}

// LinePage is the form of one line.
type LinePage struct {
	OwnerFrame
	Entry
	Name, Capacity, Turnaround Field
	Rotary, Active             Field
	Runs                       []LineRunFields
	Takes                      []LineTakeFields
	Tanks                      []LineTankFields
}

// Template names the page's file.
func (*LinePage) Template() string { return "line" }

// LineRunFields say whether, and how, a line runs a process.
type LineRunFields struct {
	Index   int
	Process string
	Variant Field
}

// LineTakeFields say how much of a line a roll of a format fills.
type LineTakeFields struct {
	Index  int
	Format string
	Units  Field
}

// LineTankFields say what a line's tank of a solution holds.
type LineTankFields struct {
	Index           int
	ID              string // of the solution
	Solution        string
	Volume, Storage Field
}

// ProcessesPage lists the processes.
type ProcessesPage struct {
	OwnerFrame
	Processes []ProcessRow
}

// Template names the page's file.
func (*ProcessesPage) Template() string { return "processes" }

// ProcessRow is a process in the list.
type ProcessRow struct {
	Process, Words, Temp, Normal, Push, Own, Cycles string
}

// ProcessPage shows a process's cycles and, for colour, its developing times
// with a form for the lab's own.
type ProcessPage struct {
	OwnerFrame
	Path       string
	Process    string
	Words      string
	Temp       string
	TempSource string
	Times      []ColourTimeFields // none in black and white
	TimesFault string
	Was        string // the lab's own times as the form began with them
	Cycles     []CycleTable
}

// Template names the page's file.
func (*ProcessPage) Template() string { return "process" }

// ColourTimeFields are a push level with its shipped time and the lab's own.
type ColourTimeFields struct {
	Index    int
	Level    string // "" where the level is typed too
	Push     string // as the form sends it
	Shipped  string // "" where nothing is shipped
	Source   string
	Standing Chip
	InUse    string // the time that run sheets take
	Typed    Field  // the level, where it is typed
	Own      Field
	Note     Field
}

// CycleTable is one cycle, step by step.
type CycleTable struct {
	Name  string
	Steps []CycleStep
}

// CycleStep is one step of a cycle.
type CycleStep struct {
	Number                     int
	Name, Solution, Time, Temp string
	Agitation, Drain           string
	Source                     string
	Standing                   Chip
	Cautions                   []string
}
