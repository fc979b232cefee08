package web

// SolutionPage is the form of one solution.
type SolutionPage struct {
	OwnerFrame
	Entry
	Name, Process, Family, Use, Temp Field
	Active                           Field
	Figures, Replenishment, Bromide  []Field
	Rates                            []RateHint
	Keeping                          []KeepingFields
	Mixing, Costs                    []Field
	Kind                             string // of the cautions
	Waste                            string // the container that it goes into
	Versions                         string // address of its versions, "" for a new one
	WhatIf                           string // address where changing it is tried out
	Cautions                         []CautionList
}

// Template names the page's file.
func (*SolutionPage) Template() string { return "solution" }

// RateHint is a rate of replenishment that somebody else gives for a bath.
type RateHint struct {
	Bath           string
	This           bool // the bath that the form is about
	PerM2, PerRoll string
	Standing       Chip
	Source         string
}

// KeepingFields say how long a solution keeps in one kind of storage.
type KeepingFields struct {
	Storage     string
	For, Source Field
}

// VersionsPage lists the versions of one recipe with what changed.
type VersionsPage struct {
	OwnerFrame
	Name     string
	Form     string // address of the recipe's form, "" for who may not see it
	Versions []VersionRow
}

// Template names the page's file.
func (*VersionsPage) Template() string { return "versions" }

// VersionRow is a recipe as it was from one change to the next.
type VersionRow struct {
	Version int
	At      Moment
	By      string
	Latest  bool
	First   bool // nothing older is on record
	Changes []RecipeChange
	Says    []Said
}

// RecipeChange is one thing that a version says differently from the one before.
type RecipeChange struct{ Name, Was, Now string }

// Said is one thing with its value in words.
type Said struct{ Name, Value string }
