package web

import "time"

// Frame is what surrounds every page. The handler sets the upper part, the
// server fills in the rest before the page is rendered.
type Frame struct {
	Title    string
	Scripts  []string  // names of scripts beyond site.js, such as "order.js"
	Wet      bool      // larger, to be read at two metres
	Problems []Problem // what is wrong with the form, shown at the top

	Lab    string // the lab's name
	Demo   string // a line above everything, "" for none
	Nav    []Link
	Parts  []Link // of the chemistry, on its pages
	Signed string // who is signed in, "" for nobody
	Notice string // what has just been done, "" for nothing
	Zone   *time.Location
}

// Base lets the server reach the frame of any page.
func (f *Frame) Base() *Frame { return f }

// Link is one way on from here.
type Link struct {
	Label, Path string
	Current     bool // it leads to this very page
	Within      bool // this page belongs to it
}

// Problem is one line of the summary above a form, leading to its field.
type Problem struct {
	Field   string // the field's name in the form, "" when it is about the whole
	Message string
}

// Target is the id of the field the problem is about.
func (p Problem) Target() string { return fieldID(p.Field) }

// Local puts a moment into the lab's own time.
func (f Frame) Local(t time.Time) time.Time {
	if f.Zone == nil {
		return t.UTC()
	}
	return t.In(f.Zone)
}

// Day writes the day of a moment in the lab's time, as in "Thu 5 March".
func (f Frame) Day(t time.Time) string { return f.Local(t).Format("Mon 2 January") }

// Clock writes the time of day of a moment in the lab's time, as in "14:05".
func (f Frame) Clock(t time.Time) string { return f.Local(t).Format("15:04") }

// When writes day and time of a moment in the lab's time.
func (f Frame) When(t time.Time) string { return f.Local(t).Format("Mon 2 January 2006, 15:04") }

// Stamp writes a moment for the datetime attribute.
func (f Frame) Stamp(t time.Time) string { return f.Local(t).Format(time.RFC3339) }
