package web

// WastePage shows the containers and what became of them.
type WastePage struct {
	Frame
	Containers  []ContainerCard
	Away        []ContainerCard // out of use
	Silver      Silver
	Collect     []ActionForm // one; none while everything is empty
	Collections []CollectionRow
	Log         []WasteLine
	Cautions    []string
	CanAdd      bool
}

// Template names the page's file.
func (*WastePage) Template() string { return "waste" }

// ContainerCard is a container and how full it is.
type ContainerCard struct {
	Name, Kind, Holds string
	Edit              string // address of its form, "" for who may not change it
	Log               string // address of its kind's log
	Full              Gauge
	State             Chip
}

// Silver is the estimate of the silver in what waits for the hauler.
type Silver struct {
	Film, Words, Source string
	Since               Moment // empty where nothing was collected yet
}

// CollectionRow is one collection.
type CollectionRow struct {
	At                                            Moment
	Container, Kind, Volume, Hauler, Document, By string
}

// WasteLine is one line of the waste log.
type WasteLine struct {
	At                    Moment
	Container, Kind, What string
	In, Out               string
	Source                Link
	Why, By               string
}

// WasteLogPage is the waste log to search, to print and to take away.
type WasteLogPage struct {
	Frame
	Kind, From, To Field
	Span           string
	Lines          []WasteLine
	Totals         []WasteSum
	Cautions       []string
	Printed        Moment
}

// Template names the page's file.
func (*WasteLogPage) Template() string { return "waste-log" }

// WasteSum is what went into and out of the containers of a kind.
type WasteSum struct {
	Kind, In, Out string
	Silver        bool // silver-bearing, told apart
}

// ContainerPage is the form of one container.
type ContainerPage struct {
	Frame
	Entry
	Name, Kind, Volume, Active Field
	Holds                      string
}

// Template names the page's file.
func (*ContainerPage) Template() string { return "container" }
