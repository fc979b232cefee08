package web

// FrontPage greets whoever comes to the lab.
type FrontPage struct {
	Frame
	Open       Opening
	ReadyHours int
	Films      []FilmRow
}

// FilmRow is a stock that the lab takes, in words.
type FilmRow struct {
	Name, Process, Speed, Push string
}

// Template names the page's file.
func (*FrontPage) Template() string { return "front" }

// WherePage asks for a private link.
type WherePage struct {
	Frame
	Link Field
}

// Template names the page's file.
func (*WherePage) Template() string { return "where" }
