package jobs

import (
	"strings"

	"wetside/chemistry"
)

// MaxContainerML is the largest container, mL.
const MaxContainerML = 10_000_000

// CheckContainer checks a new container (zero key) or a changed one against all
// there are, and returns it with its name trimmed. Every kind of waste that has
// a container keeps one in use: what flows over has to go somewhere.
func (all Containers) CheckContainer(wanted Container) (Container, error) {
	wanted.Name = strings.TrimSpace(wanted.Name)
	var wrong fieldErrors
	wrong.name("name", wanted.Name)
	wrong.oneOf("kind", string(wanted.Kind), names(chemistry.WasteKinds))
	if wanted.VolumeML < 0 || wanted.VolumeML > MaxContainerML {
		wrong.add("volume_ml", "%d mL is no container, allowed are 1 to %d mL, or 0 where nobody knows", wanted.VolumeML, MaxContainerML)
	}
	was, known := all[wanted.ID]
	if wanted.ID != 0 && !known {
		return Container{}, errNoContainer
	}
	if known && wanted.VolumeML > 0 && float64(wanted.VolumeML) < was.HoldsML {
		wrong.add("volume_ml", "it holds %g mL, so it is no container of %d mL", was.HoldsML, wanted.VolumeML)
	}
	if err := wrong.err("the container cannot be like this"); err != nil {
		return Container{}, err
	}
	if !known {
		return wanted, nil
	}
	if was.Kind != wanted.Kind && was.HoldsML > 0 {
		return Container{}, Errorf(Refused, "%s holds %s waste: have it collected before it takes another kind", was.Name, was.Kind)
	}
	if was.Active && (!wanted.Active || was.Kind != wanted.Kind) && all.inUse(was.Kind) == 1 {
		return Container{}, Errorf(Refused, "%s is the only container in use for %s waste: add another one first", was.Name, was.Kind)
	}
	wanted.HoldsML = was.HoldsML
	return wanted, nil
}

var errNoContainer = Errorf(NotFound, "there is no such container")

// inUse counts the containers in use of a kind.
func (all Containers) inUse(kind chemistry.WasteKind) int {
	n := 0
	for _, c := range all {
		if c.Active && c.Kind == kind {
			n++
		}
	}
	return n
}

// NewCollection is what a licensed hauler is about to take away.
type NewCollection struct {
	Container ContainerID
	VolumeML  int
	Hauler    string
	Document  string // number of the paper that goes with it
}

// CheckCollection decides whether a hauler can have taken that much, and
// returns the collection with its words trimmed.
func (all Containers) CheckCollection(n NewCollection) (NewCollection, error) {
	n.Hauler, n.Document = strings.TrimSpace(n.Hauler), strings.TrimSpace(n.Document)
	var wrong fieldErrors
	from, ok := all[n.Container]
	if !ok {
		wrong.add("container", "there is no such container")
	}
	wrong.name("hauler", n.Hauler)
	if n.Document == "" {
		wrong.add("document", "the number of the document is missing: it proves where the waste went")
	}
	wrong.line("document", n.Document, MaxName)
	if n.VolumeML < 1 || n.VolumeML > MaxContainerML {
		wrong.add("volume_ml", "%d mL is nothing to collect, allowed are 1 to %d mL", n.VolumeML, MaxContainerML)
	}
	if err := wrong.err("the collection cannot be recorded like this"); err != nil {
		return n, err
	}
	if float64(n.VolumeML) > from.HoldsML {
		return n, Errorf(Refused, "%s holds %g mL, %d mL cannot have been collected", from.Name, from.HoldsML, n.VolumeML)
	}
	return n, nil
}

// Entry is what a collection does to the ledger.
func (n NewCollection) Entry() Entry {
	return Entry{Kind: EntryCollected, Container: n.Container, Amount: -float64(n.VolumeML), Why: n.Hauler + ", document " + n.Document}
}
