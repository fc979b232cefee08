package web

// staffPages lists the pages of those who work at the lab.
func staffPages() []Page {
	return []Page{
		&TodayPage{},
		&CheckInPage{},
		&CheckInRollPage{},
		&StaffOrdersPage{},
		&StaffOrderPage{},
		&RollsPage{},
		&RollPage{},
		&PlanPage{},
		&BatchesPage{},
		&BatchPage{},
		&DrySidePage{},
		&CounterPage{},
	}
}

// Moment is a point in time in words, with the stamp that programs read.
type Moment struct{ Stamp, Words string }

// Due is when something is to be ready.
type Due struct {
	Moment
	Late bool // and it is not
}

// Tab is one of several views of a list.
type Tab struct {
	Link
	Count int
}

// RollLine is a roll in a list.
type RollLine struct {
	ID, Order int64
	Version   int
	TwinCheck string // "" until it is checked in
	Label     string // its order and place, "1042/1"
	Film      string
	Asked     string // process, EI and push
	Customer  string
	Service   string
	State     Chip
	Since     Moment
	Due       Due
	Late      bool // planned too late
	Question  string
	Next      string // the next step along the dry side, in words
	Ticked    bool
	Inspect   bool // somebody has to look at it before it leaves
}

// Name is what a roll is called at the lab: its twin-check, or its label before
// it has one.
func (r RollLine) Name() string {
	if r.TwinCheck != "" {
		return r.TwinCheck
	}
	return r.Label
}

// EventLine is one line of the record.
type EventLine struct {
	At       Moment
	By       string
	What     string
	From, To string
	Why      string
	Batch    int64 // 0 where no batch has to do with it
	Roll     int64 // 0 where it is not about one roll
}
