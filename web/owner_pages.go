package web

// ownerPages lists the pages for the chemistry and for what the owner sets up.
func ownerPages() []Page {
	return []Page{
		&ChemistryPage{},
		&FillPage{},
		&PourPage{},
		&WhatIfPage{},
		&SetUpPage{},
		&StocksPage{},
		&StockPage{},
		&SolutionsPage{},
		&SolutionPage{},
		&VersionsPage{},
		&LinesPage{},
		&LinePage{},
		&ProcessesPage{},
		&ProcessPage{},
		&ClosuresPage{},
		&PeoplePage{},
		&PersonPage{},
		&LabPage{},
	}
}

// OwnerFrame surrounds the pages of the set-up, with links to all of them.
type OwnerFrame struct {
	Frame
	Sections []Link
}

// SetUpPage says what there is to set up.
type SetUpPage struct {
	Frame
	Parts []SetUpPart
}

// Template names the page's file.
func (*SetUpPage) Template() string { return "set-up" }

// SetUpPart is one part of the set-up with what is in it now.
type SetUpPart struct {
	Link
	Say, Now string
}

// Entry is what the forms for entries of the catalogue share.
type Entry struct {
	Path    string // where the form is sent
	New     bool
	Version string // the version that the form began with
}

// PeoplePage lists who signs in, with a form to add somebody.
type PeoplePage struct {
	OwnerFrame
	People               []PersonRow
	Name, Role, Password Field
}

// Template names the page's file.
func (*PeoplePage) Template() string { return "people" }

// PersonRow is somebody who signs in.
type PersonRow struct {
	ID     int64
	Name   string
	Role   string
	May    string // what the role may do
	Since  Moment
	State  Chip
	Active bool
	You    bool // the one who looks at the page
}

// PersonPage changes somebody's password, or lets them in or not.
type PersonPage struct {
	OwnerFrame
	Person   PersonRow
	Password Field
}

// Template names the page's file.
func (*PersonPage) Template() string { return "person" }

// LabPage is what the lab says about itself.
type LabPage struct {
	OwnerFrame
	Entry
	Name, ReturnAddress, TimeZone Field
	OpensAt, ClosesAt, ReadyHours Field
	OpenOn                        Field   // what is said of all weekdays together
	Weekdays                      []Field // from Monday on
	CombineBW, TolerancePercent   Field
}

// Template names the page's file.
func (*LabPage) Template() string { return "lab" }
