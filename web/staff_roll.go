package web

// RollsPage lists rolls.
type RollsPage struct {
	Frame
	Search Field
	State  string
	Tabs   []Tab
	Rolls  []RollLine
	Later  string // path of the next page, "" when this is the last
}

// Template names the page's file.
func (*RollsPage) Template() string { return "rolls" }

// RollPage is everything about one roll, with what can be done with it now.
type RollPage struct {
	Frame
	Roll     RollLine
	Say      string // what the state means and who moves the roll on
	Lead     NextStep
	Ordered  Ordered
	Answer   string
	Reason   string
	Tracking string
	Remjet   string
	Batch    int64  // the batch it is in, or went through
	DevelopS int    // in a fresh solution, 0 when no time is known
	NoTime   string // why none is known
	Forms    []ActionForm
	Lost     []Hidden // what was typed into a form that is not offered any more
	Events   []EventLine
}

// Template names the page's file.
func (*RollPage) Template() string { return "roll" }

// ActionForm is one thing that can be done, with what it needs to know.
type ActionForm struct {
	Title  string
	Say    string
	Path   string
	Button string
	Class  string // of the button
	Open   bool   // shown open: it is the next step, or something is wrong with it
	Hidden []Hidden
	Fields []Field
}
