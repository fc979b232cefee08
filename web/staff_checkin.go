package web

// CheckInPage finds the order that film came in for.
type CheckInPage struct {
	Frame
	Scan   Field
	Found  []OrderLine // orders that fit, when several do
	Rolls  []RollLine  // rolls of the one order that fits, all of them here already
	Orders []OrderLine // orders that film is expected for
}

// Template names the page's file.
func (*CheckInPage) Template() string { return "check-in" }

// CheckInRollPage takes one roll in.
type CheckInRollPage struct {
	Frame
	Roll    RollLine
	Ordered Ordered
	Rolls   []RollLine // of the same order

	DX      Field // no name when no stock has a DX number
	DXSays  string
	DXWrong bool // the cartridge is not what was ordered

	TwinCheck, Stock, FormatIs, Exposures, Remjet Field
	Confirmed, Push, EI, Developer, Question      Field
}

// Template names the page's file.
func (*CheckInRollPage) Template() string { return "check-in-roll" }

// Ordered is a roll as its owner described it, with what the lab reads in it.
type Ordered struct {
	Film      string
	Process   string
	Light     []string
	Note      string
	Service   string
	Reading   Reading
	Remjet    string
	Developer string
}

// OrderLine is an order in a list.
type OrderLine struct {
	ID        int64
	Customer  string
	State     Chip
	Rolls     []RollLine
	Expected  int
	Submitted Moment
	Due       Moment
}

// StaffOrdersPage lists orders.
type StaffOrdersPage struct {
	Frame
	Search Field
	Tabs   []Tab
	All    bool // closed orders are shown too
	Orders []OrderLine
	Older  string // path of the next page, "" when this is the last
}

// Template names the page's file.
func (*StaffOrdersPage) Template() string { return "orders" }

// StaffOrderPage is an order as the lab sees it.
type StaffOrderPage struct {
	Frame
	Order     int64
	Reference string // the sender's own word for it
	State     Chip
	Customer  string
	Email     string
	Phone     string
	Way       string
	Address   string
	Submitted Moment
	Due       Moment
	Private   string // path of the customer's page
	Expected  int
	Rolls     []RollLine
	Ready     []RollLine
	How       Field
	Tracking  Field
	Pick      Field // the ticks, for what is wrong with them
	Back      string
}

// Template names the page's file.
func (*StaffOrderPage) Template() string { return "order-work" }
