package jobs

import "wetside/chemistry"

// Control is what the control strips say of customers' film in a line.
type Control struct {
	// Required tells whether the line is watched by strips in this process at
	// all.
	Required bool
	// Objection is why no film may run, as a sentence without a full stop; ""
	// where nothing speaks against it.
	Objection string
}

// ControlKey names a process in a line: what is watched by strips.
type ControlKey struct {
	Line    LineID
	Process chemistry.Process
}
