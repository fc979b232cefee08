package web

// forecastPages lists the pages of what is to come.
func forecastPages() []Page {
	return []Page{&MorningPage{}, &SchedulesPage{}, &SchedulePage{}}
}

// FillCourse is how a fill was used and how that goes on: charts, and the same
// in a table.
type FillCourse struct {
	Says    string // what is foretold, "" of a dumped fill
	Charts  []Chart
	Rows    []CourseRow
	Used    bool // the table has the capacity
	Bromide bool // the table has the bromide
	Stored  []StoredForecast
}

// Chart is a line over time, with what is foretold of it. All of it is in units
// of the picture.
type Chart struct {
	ID, Title, Unit   string
	Says              string // the figures in a sentence, for who does not see the picture
	Past, Ahead, Band string // points of lines, and of the area between the ends of the range
	Limit             string // height of the limit line, "" for none
	LimitLabel        string
	Today             string // "" where it is not shown
	Across, Up        []ChartMark
}

// ChartMark is a figure beside an axis.
type ChartMark struct{ At, Label string }

// CourseRow is a day in the table of a course.
type CourseRow struct {
	Day                 Moment
	Ahead               bool // foretold
	Used, UsedRange     string
	Bromide, BromideEnd string
	Note                string // as in "today"
}

// StoredForecast is what was foretold on an earlier day.
type StoredForecast struct {
	Day  Moment
	Says string
}

// MorningPage is the list that the day begins with.
type MorningPage struct {
	Frame
	Date         Moment
	Written      Moment
	Open, Urgent int
	Done         int
	Groups       []MorningGroup
}

// Template names the page's file.
func (*MorningPage) Template() string { return "morning" }

// MorningGroup is a part of the morning list.
type MorningGroup struct {
	ID, Name string
	Lines    []MorningLine
}

// MorningLine is one thing on the morning list.
type MorningLine struct {
	What, Where, Why string
	Path             string // "" where there is nowhere to go
	Urgent           bool
	Done             Moment // empty while it is to be done
}

// MorningShort is the morning list on the page of the day.
type MorningShort struct {
	Written      Moment
	Open, Urgent int
	Lines        []MorningLine // the first of the urgent ones
	More         int           // urgent ones that are not shown
}

// SchedulesPage lists the work that is done on a schedule.
type SchedulesPage struct {
	Frame
	Works []ScheduleRow
	Zone  string
}

// Template names the page's file.
func (*SchedulesPage) Template() string { return "schedules" }

// ScheduleRow is scheduled work and how it stands.
type ScheduleRow struct {
	Name, Does string
	Path       string
	Cron       string
	State      Chip
	Coming     []Moment
	Last       Moment // when what was done last was due
	Failed     Moment
	Failure    string
}

// SchedulePage changes when work is done.
type SchedulePage struct {
	Frame
	Work    ScheduleRow
	Version string
	Cron    Field
	Active  Field
	Coming  []Moment // by what was typed
	Typed   bool     // the times shown are those of a schedule that is not saved
	Zone    string
}

// Template names the page's file.
func (*SchedulePage) Template() string { return "schedule" }
