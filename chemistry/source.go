package chemistry

// Standing says how far a value can be trusted.
type Standing string

// The standings, the firmest first.
const (
	Published      Standing = "published"       // printed by the named source
	CommonPractice Standing = "common practice" // what the trade does; no source
	FromMemory     Standing = "from memory"     // a starting point nobody has checked
	LabsOwn        Standing = "the lab's own"   // entered or tested by this lab
	Computed       Standing = "computed"        // follows from other values
)

// Source says where a value comes from.
type Source struct {
	Standing Standing
	Text     string // publication and table, or how it was arrived at
}

// String writes the source as a run sheet shows it.
func (s Source) String() string {
	switch {
	case s.Text == "":
		return string(s.Standing)
	case s.Standing == Published:
		return s.Text
	}
	return string(s.Standing) + ": " + s.Text
}
