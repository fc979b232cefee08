package web

// stockPages lists the pages of what is in stock, mixed and wasted.
func stockPages() []Page {
	return []Page{&StockRoomPage{}, &ReceivePage{}, &LotPage{}, &MixingPage{}, &MixPage{}, &WastePage{}, &WasteLogPage{}, &ContainerPage{}}
}

// StockRoomPage shows what is in stock and what is mixed.
type StockRoomPage struct {
	Frame
	Wanting []Noted // to see to
	Lots    []LotRow
	Mixes   []MixRow
	UsedUp  []LotRow
	Emptied []MixRow
	CanMix  bool // there is a solution
}

// Template names the page's file.
func (*StockRoomPage) Template() string { return "stock-room" }

// Noted is something to see to, with where that is done.
type Noted struct{ Text, Path string }

// LotRow is a lot in the list.
type LotRow struct {
	Path, Part, Number, Left, Of, Expires string
	Received                              Moment
	State                                 Chip
}

// MixRow is a mix in the list.
type MixRow struct {
	Path, Solution, Preparation, Left, Of, Age, Storage, Keeps string
	Mixed                                                      Moment
	By                                                         string
	State                                                      Chip
}

// ReceivePage takes a lot into stock.
type ReceivePage struct {
	Frame
	Part, Number, Amount, Unit, Expires Field
	Known                               []string // parts that recipes ask for
}

// Template names the page's file.
func (*ReceivePage) Template() string { return "receive" }

// LotPage is one lot with its ledger.
type LotPage struct {
	Frame
	Lot      LotRow
	Trace    string
	Ledger   []MoveLine
	Acts     []ActionForm
	Cautions []string // for dumping
}

// Template names the page's file.
func (*LotPage) Template() string { return "lot" }

// MoveLine is one entry of the ledger of a lot, mix or container.
type MoveLine struct {
	At                Moment
	What, Change, Now string
	Other             Link // what it came from or went to
	By, Why           string
}

// MixingPage is first the choice of what to mix, then the mixing sheet with the
// form that records the mix.
type MixingPage struct {
	Frame
	Solution, Preparation, Volume Field
	Sheet                         *MixingSheet // nil until it is chosen
}

// Template names the page's file.
func (*MixingPage) Template() string { return "mixing" }

// MixingSheet is what to mix.
type MixingSheet struct {
	SolutionID, VolumeML int64
	Preparation          string
	Name, Kind, Volume   string
	Recipe               string // "version 3"
	Parts                []SheetPartLine
	Steps                []string
	Water                string
	Keeps                []KeepsLine
	Cautions             []string
	Uses                 []UseFields
	Storage, Note        Field
	Ready                bool // bought ready: the recipe names no parts
	CanReceive           bool // something is missing
}

// SheetPartLine is one part of a mixing sheet.
type SheetPartLine struct {
	Name, Amount, PerL string
	Acid               bool
	Lots               []string
	Missing            string // "" where there is enough
}

// KeepsLine is how long a mix keeps, stored in one way.
type KeepsLine struct{ Storage, Until, Source string }

// UseFields say which lot went in, and how much of it.
type UseFields struct{ Lot, Amount Field }

// MixPage is one mix with where it came from and went.
type MixPage struct {
	Frame
	Mix      MixRow
	Kind     string
	Recipe   Link
	Note     string
	Trace    string
	Took     []MixPart
	Went     []MoveLine
	Pour     string // address of the pour form, "" when nothing is left
	Acts     []ActionForm
	Cautions []string
}

// Template names the page's file.
func (*MixPage) Template() string { return "mix" }

// MixPart compares what the recipe asks for with what went in.
type MixPart struct {
	Name, Asked, Used, Off string
	Lots                   []Link
}
