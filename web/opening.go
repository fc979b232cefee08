package web

// Opening is when the lab is open, in words.
type Opening struct {
	Hours  string
	Closed []string // the days soon on which it is not
}

// ClosuresPage lists the days on which the lab is closed, and closes it on more.
type ClosuresPage struct {
	OwnerFrame
	Closures       []ClosureRow
	From, To, Name Field
}

// ClosureRow is a closure in words.
type ClosureRow struct {
	Days, Name string
	Remove     string // where to send its end
}

// Template names the page's file.
func (*ClosuresPage) Template() string { return "closures" }
