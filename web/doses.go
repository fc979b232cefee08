package web

// dosePages lists the pages about what film calls for.
func dosePages() []Page { return []Page{&DosePage{}} }

// DoseLine is what film calls for in one bath.
type DoseLine struct {
	ID    int64 // 0 until the batch has ended
	What  string
	Where string
	Film  string
	Batch int64
	At    Moment
	Gone  bool   // its fill was dumped
	Given string // what was poured, "" while it is open
	Off   string // by how much that was more or less than called for
	By    string
	Why   string
}

// DosePage confirms what was poured for film.
type DosePage struct {
	Frame
	Dose     DoseLine
	Fill     int64 // 0 for a one-shot solution
	FillName string
	GivenAt  Moment
	Form     []ActionForm // one, or none once it is confirmed
	NoMix    string       // that no mix of it is on record
	Care     []string
}

// Template names the page's file.
func (*DosePage) Template() string { return "dose" }
