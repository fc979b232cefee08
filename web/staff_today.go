package web

// TodayPage is where the day begins.
type TodayPage struct {
	Frame
	Date        Moment
	Next        NextStep
	Scan        Field
	Counts      []Tab
	Leaving     []Parcel
	MoreLeaving int // orders that are not shown
	Batches     []BatchLine
	Queued      int
	Held        []RollLine
	Due         []RollLine
	AtRisk      []RiskLine
	MoreAtRisk  int // that are not shown
	Morning     MorningShort
	Quiet       bool // nothing is here at all
}

// Template names the page's file.
func (*TodayPage) Template() string { return "today" }

// RiskLine is a promise that is about to break.
type RiskLine struct {
	Roll  RollLine
	Ready Moment // when it is to be expected
	Save  string
	Saved bool // something can save it
	Path  string
	Label string
}

// NextStep is the one thing to do now.
type NextStep struct{ Say, Label, Path string }

// Parcel is an order with the rolls of it that can leave.
type Parcel struct {
	Order    int64
	Customer string
	Way      string // how it goes back
	Post     bool
	Address  string
	Due      Due
	Waiting  int // rolls of the order that are not ready yet
	Rolls    []RollLine
}

// BatchLine is a batch in a list.
type BatchLine struct {
	ID         int64
	Version    int
	Line       string
	What       string // process, developer and push
	State      Chip
	DevelopS   int
	Start, End Moment
	Late       bool // it should have begun, or ended, by now
	Todo       string
	Rolls      []RollLine
}

// DrySidePage moves developed film on until it can leave.
type DrySidePage struct {
	Frame
	Scan      Field
	Scanned   []RollLine // the roll that was scanned, with its next step; none or one
	Drying    []RollLine
	Finishing []RollLine
}

// Template names the page's file.
func (*DrySidePage) Template() string { return "dry-side" }

// CounterPage hands out and posts what is ready.
type CounterPage struct {
	Frame
	Search  Field
	Asked   bool // something was searched for
	Parcels []Parcel
	More    int // orders that are not shown
}

// Template names the page's file.
func (*CounterPage) Template() string { return "counter" }
