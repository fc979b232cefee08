package web

import "slices"

// Pages lists one empty value of every page, so that all templates are parsed
// at the start and checked against their types in a test.
func Pages() []Page {
	return slices.Concat(publicPages(), staffPages(), ownerPages(), stripPages(), tracePages(), forecastPages(), dosePages(), stockPages(), importPages())
}

// publicPages lists the pages that need nobody to be signed in.
func publicPages() []Page {
	return []Page{
		&ErrorPage{},
		&FrontPage{},
		&OrderFormPage{},
		&OrderReviewPage{},
		&OrderPage{},
		&SignInPage{},
		&SlipPage{},
		&WherePage{},
	}
}

// SignInPage asks staff for name and password.
type SignInPage struct {
	Frame
	Name, Password Field
	Next           string // where to go on to
}

// Template names the page's file.
func (*SignInPage) Template() string { return "sign-in" }

// ErrorPage says what went wrong and what to do now.
type ErrorPage struct {
	Frame
	Message   string
	Details   []string
	RequestID string // for faults of ours, so that the log can be searched for it
}

// Template names the page's file.
func (*ErrorPage) Template() string { return "error" }
