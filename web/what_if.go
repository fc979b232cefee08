package web

// WhatIfPage asks what an owner thinks of changing and shows what that would
// come to.
type WhatIfPage struct {
	Frame
	Of       Field
	Chosen   *WhatIfChosen // nil until something is chosen
	Compared *Comparison
}

// Template names the page's file.
func (*WhatIfPage) Template() string { return "what-if" }

// WhatIfChosen asks what is to be different.
type WhatIfChosen struct {
	Of     string // as the form sends it
	Fields []Field
}

// Comparison sets how something is beside how it would be.
type Comparison struct {
	Name, Days string
	Changed    bool
	LowUse     bool
	Rows       []ComparedRow
	Unknown    []string
}

// ComparedRow is one figure as it is and as it would be.
type ComparedRow struct {
	Name, Now, Changed string
	Differs            bool
}
