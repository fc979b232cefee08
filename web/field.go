package web

import "strings"

// The kinds of field that the template "field" knows.
const (
	Text     = "text"
	Email    = "email"
	Tel      = "tel"
	Number   = "number" // typed in plain text with a number pad, so that nothing typed is lost
	Password = "password"
	TextArea = "textarea"
	Select   = "select"
	Radio    = "radio"
	Date     = "date"
	DateTime = "datetime-local"
	Checkbox = "checkbox"
)

// Field is one field of a form with everything that is shown about it.
type Field struct {
	Kind         string
	Name         string // as the form sends it and errors name it, such as "rolls[0].ei"
	Label        string
	Hint         string
	Value        string // what was typed, or is chosen
	Checked      bool   // for a checkbox
	Error        string
	Required     bool
	Autocomplete string
	MaxLength    int
	Unit         string   // written behind a number
	Focus        bool     // begin here
	Options      []Option // for select and radio
	// Swap names the button that a script presses when the value changes, for
	// choices that change the rest of the form.
	Swap string
	In   string // tells apart fields of one name that stand in several forms of a page
}

// Option is one choice. Options of the same group stand together under its
// name when they follow each other.
type Option struct {
	Value, Label, Hint, Group string
}

// OptionGroup is a run of options under one name.
type OptionGroup struct {
	Name    string
	Options []Option
}

// ID is the field's id in the page.
func (f Field) ID() string { return fieldID(f.In + f.Name) }

// DescribedBy lists the ids of what explains the field.
func (f Field) DescribedBy() string {
	var ids []string
	if f.Error != "" {
		ids = append(ids, f.ID()+"-error")
	}
	if f.Hint != "" {
		ids = append(ids, f.ID()+"-hint")
	}
	return strings.Join(ids, " ")
}

// Groups splits the options where their group changes.
func (f Field) Groups() []OptionGroup {
	var groups []OptionGroup
	for _, option := range f.Options {
		if n := len(groups); n == 0 || groups[n-1].Name != option.Group {
			groups = append(groups, OptionGroup{Name: option.Group})
		}
		last := &groups[len(groups)-1]
		last.Options = append(last.Options, option)
	}
	return groups
}

// fieldID turns a field's name into an id: "rolls[0].ei" becomes
// "f-rolls-0-ei".
func fieldID(name string) string {
	return "f-" + strings.NewReplacer("[", "-", "].", "-", "]", "", ".", "-").Replace(name)
}
