package web

// stripPages lists the pages about control strips.
func stripPages() []Page {
	return []Page{&StripsPage{}, &StripReadPage{}, &StripFilePage{}, &StripPage{}, &StripChartPage{}, &StripBoxPage{}}
}

// StripsPage shows every watched line and the boxes.
type StripsPage struct {
	Frame
	Lines   []StripLineCard
	Boxes   []StripBoxRow
	CanOpen bool // the one who looks may open a box
	Keep    string
}

// Template names the page's file.
func (*StripsPage) Template() string { return "strips" }

// StripLineCard is how a line stands in a process.
type StripLineCard struct {
	Line, Process string
	State         Chip
	Say           string
	Notes         []string
	Last          Moment
	LastID        int64 // 0 for none
	LastVerdict   string
	Stopped       bool
	Chart, Read   string // addresses
	Button        string
}

// StripBoxRow is one box of strips.
type StripBoxRow struct {
	Path    string // where it is changed, "" for who may not
	Number  string
	Process string
	State   Chip
	Left    string
	Expires string
	Opened  Moment
	Warn    []string
}

// DensityGrid is a table of densities as a densitometer prints them: patches
// down, channels across.
type DensityGrid struct {
	Caption  string
	Channels []string
	Rows     []DensityRow
}

// DensityRow is one patch.
type DensityRow struct {
	Name  string
	Cells []DensityCell
}

// DensityCell is one patch through one channel.
type DensityCell struct {
	Read  bool // false where nothing is read
	Field Field
	Note  string // beside the field, such as the aim
}

// StripReadPage records one strip.
type StripReadPage struct {
	Frame
	Card StripLineCard
	Box  StripBoxRow
	Grid DensityGrid
	Keep string
}

// Template names the page's file.
func (*StripReadPage) Template() string { return "strip-read" }

// StripFilePage records the strips of a densitometer's file.
type StripFilePage struct {
	Frame
	Text    Field
	File    Field
	Columns []string
	Example string
}

// Template names the page's file.
func (*StripFilePage) Template() string { return "strip-file" }

// StripPage is one strip with its verdict.
type StripPage struct {
	Frame
	Line, Process string
	Chart, Read   string
	At            Moment
	By            string
	Box           string
	Verdict       Chip
	Card          *StripLineCard // how the line stands, when this is its last strip
	Confirms      int64
	Signals       []string
	Suspects      []StripSuspect
	Next          []string
	Figures       []StripFigure
	Derived       []StripFigure
	Source        string
	Released      string // who let the line run, and why
	CanRelease    bool
	ReleasePath   string
	Reason        Field
	Trace         string
	Cautions      []string
}

// Template names the page's file.
func (*StripPage) Template() string { return "strip" }

// StripSuspect is what a pattern points to.
type StripSuspect struct{ Cause, Check, Source string }

// StripFigure is one figure of a strip beside its aim.
type StripFigure struct{ Name, Read, Aim, Off string }

// StripChartPage shows the strips of a process in a line.
type StripChartPage struct {
	Frame
	Card   StripLineCard
	Spans  []Link
	Plots  []StripPlot
	Rows   []StripRow
	Own    []StripOwn
	Rules  []StripRule
	Few    string // why no rule is applied, "" where they are
	Source string
}

// Template names the page's file.
func (*StripChartPage) Template() string { return "strip-chart" }

// StripPlot is the drawing of one parameter.
type StripPlot struct {
	Title, Label  string
	Width, Height int
	Left, Right   float64 // of the field
	Lines         []PlotLine
	Days          []PlotWord
	Marks         []PlotMark
	Series        []PlotSeries
	Rules         []PlotWord // numbers of the rules that a strip breaks, above it
}

// PlotLine is a level across the drawing.
type PlotLine struct {
	Class, Word string
	Y           float64
}

// PlotWord is a word in the drawing.
type PlotWord struct {
	X, Y float64
	Word string
}

// PlotMark is something that happened between or at strips.
type PlotMark struct {
	X           float64
	Class, Word string
}

// PlotSeries is one layer.
type PlotSeries struct {
	Class, Name string
	Trend       string // points of the line
	NameY       float64
	Points      []PlotPoint
}

// PlotPoint is one strip.
type PlotPoint struct {
	X, Y  float64
	Shape string // path around the point
	Past  bool   // a limit
	Title string
}

// StripRow is one strip in the table beside the chart.
type StripRow struct {
	ID                             int64
	At                             Moment
	Verdict                        Chip
	DMin, LD, HDLD, Spread, Silver string
	Notes                          []string
}

// StripOwn is how a series runs by itself.
type StripOwn struct{ Name, Mean, Low, High, Last, Average, Rules string }

// StripRule explains a number in the drawing.
type StripRule struct {
	Number int
	Words  string
}

// StripBoxPage opens or corrects a box.
type StripBoxPage struct {
	Frame
	Path                    string
	New                     bool
	Processes               []Link // to choose from, before the rest is asked
	Process, Version        string
	State                   Chip
	Basis                   []string
	Number, Strips, Expires Field
	Aim, Correction         DensityGrid
	Limits                  []StripLimitRow
	LimitsFault             Field
	LimitsSource            Field
	Published               string
	Pairs                   []CrossPairForm
	CrossFrom               string // the box that may be crossed over from, "" for none
	CrossOpen               bool
	UsePath, UseButton, Use string // the form that puts it away or back; Use is its value
	UseSay, Keep            string
}

// Template names the page's file.
func (*StripBoxPage) Template() string { return "strip-box" }

// StripLimitRow is the limits of one parameter.
type StripLimitRow struct {
	Name            string
	Say             string
	Action, Control Field
}

// CrossPairForm is an old strip and a new one.
type CrossPairForm struct {
	Title string
	Old   Field
	New   DensityGrid
}
