package web

import "time"

// OrderFormPage is the form with which film is sent in.
type OrderFormPage struct {
	Frame
	Key                                 string // makes sending twice safe
	Name, Email, Phone, Return, Address Field
	Rolls                               []RollFields
	CanAdd                              bool
}

// Template names the page's file.
func (*OrderFormPage) Template() string { return "order-form" }

// RollFields are the fields of one roll in the form.
type RollFields struct {
	Index, Number            int // counted from 0 and from 1
	Stock, Format, Exposures Field
	Light, Filter, EI, Push  Field
	Developer                Field // no options when there is nothing to choose
	Note                     Field
	Service                  []Field
	Reading                  *Reading // nil until something can be read
	Unread                   string   // what stands there until then
	CanRemove, CanCopy       bool
}

// Reading is what the lab reads in a roll.
type Reading struct {
	Sentence  string
	Confirm   bool // somebody asks before it is developed
	Rated     string
	Asked     string
	Left      string
	DevelopS  int // developing time in seconds, 0 when none is known yet
	Advice    []Advice
	Developer string
}

// Advice is one thing to tell about a roll, with a word for its weight.
type Advice struct {
	Class, Word, Text string
}

// OrderReviewPage shows an order once more before it is sent.
type OrderReviewPage struct {
	Frame
	Hidden  []Hidden // everything that was typed, to be sent along
	Name    string
	Email   string
	Phone   string
	Return  string
	Address string
	Due     time.Time
	HereBy  time.Time // by when the film must be here for that
	Rolls   []RollSummary
}

// Template names the page's file.
func (*OrderReviewPage) Template() string { return "order-review" }

// Hidden is a value that a form carries along unseen.
type Hidden struct{ Name, Value string }

// RollSummary is a roll as its owner described it.
type RollSummary struct {
	Number  int
	Film    string
	Details []string
	Note    string
	Service string
	Reading Reading
}

// Chip is a state as a word; the class gives it its shape.
type Chip struct{ Class, Word string }

// OrderPage tells the customer where the film is.
type OrderPage struct {
	Frame
	Path      string // its own private address
	Number    int64
	State     Chip
	Say       string // what it means for the customer
	Post      bool   // goes back by post
	Submitted time.Time
	Due       time.Time
	ShowDue   bool
	ToSend    int    // rolls that are not at the lab yet
	Address   string // of the lab
	Open      Opening
	Rolls     []RollProgress
}

// Template names the page's file.
func (*OrderPage) Template() string { return "order" }

// RollProgress is one roll on its way through the lab.
type RollProgress struct {
	Label    string // "1042/1"
	Film     string
	Asked    string // how it was rated and is to be pushed
	Note     string
	Reading  string
	State    Chip
	Say      string
	Since    time.Time
	Frames   []ProgressFrame // none when it ended early
	Question string
	Answer   string
	Reason   string
	Tracking string
}

// ProgressFrame is one frame of the strip that shows the way through the lab.
type ProgressFrame struct {
	Word  string
	Class string // "past", "now", "now hold" or "" for still to come
	Now   bool
}

// SlipPage is the packing slip, to be printed and put in with the film.
type SlipPage struct {
	Frame
	Path    string // back to the order
	Link    string // the whole private address
	Number  int64
	Name    string
	Phone   string
	Email   string
	Return  string
	Address string // of the customer
	To      string // address of the lab
	Open    Opening
	Code    QR
	Rolls   []SlipRoll

	Reference string // the sender's own word for the order
}

// Template names the page's file.
func (*SlipPage) Template() string { return "slip" }

// SlipRoll is one line of the packing slip.
type SlipRoll struct {
	Label, Film, Asked, Note, Service string
}

// QR is a code to be drawn: a square of Size modules and the path of its dark
// ones.
type QR struct {
	Size int
	Path string
}
