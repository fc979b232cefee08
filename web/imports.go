package web

import "time"

// importPages lists the pages with which files of orders are taken in.
func importPages() []Page {
	return []Page{
		&OrderFilePage{},
		&OrderFileReviewPage{},
		&ImportPage{},
	}
}

// OrderFilePage asks for a file of orders and says how one is written.
type OrderFilePage struct {
	Frame
	File, Text Field
	Columns    []FileColumn
	Example    string
	Empty      string // path of a file without orders
	MostRolls  int    // in a file
	MostKB     int
	Last       []ImportLine
}

// Template names the page's file.
func (*OrderFilePage) Template() string { return "order-file" }

// FileColumn is a column of a file.
type FileColumn struct {
	Name   string
	Needed bool
	Says   string // what may stand in it
}

// ImportLine is a file that was taken in.
type ImportLine struct {
	ID            int64
	At            Moment
	By            string
	Orders, Rolls int
}

// OrderFileReviewPage shows what the lab reads in a file before anything of it
// is taken in.
type OrderFileReviewPage struct {
	Frame
	Text   string // of the file, to be sent along
	Orders []FileOrder
	Rolls  int
	Mind   []FileMind // what to look at first
	HereBy time.Time  // by when the film must be here
}

// Template names the page's file.
func (*OrderFileReviewPage) Template() string { return "order-file-review" }

// FileOrder is one order of a file.
type FileOrder struct {
	Number                      int // in the file, from 1
	Reference                   string
	Same                        int64 // an order that seems to be this one, 0 for none
	Name, Email, Phone, Address string
	Return                      string
	Due                         time.Time
	Rolls                       []FileRoll
}

// FileRoll is one roll of a file, with its line.
type FileRoll struct {
	RollSummary
	Line int
}

// FileMind leads to what somebody should look at, with the reason.
type FileMind struct {
	Link
	What, Of string
	Say      Chip
}

// ImportPage shows the orders that a file brought.
type ImportPage struct {
	Frame
	Import ImportLine
	Orders []ImportedOrder
}

// Template names the page's file.
func (*ImportPage) Template() string { return "import" }

// ImportedOrder is an order that came in a file.
type ImportedOrder struct {
	OrderLine
	Reference string
	Private   string // path of the customer's page
}
