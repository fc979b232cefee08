package jobs

import (
	"maps"
	"slices"

	"wetside/chemistry"
)

// Container takes one kind of waste until a licensed hauler takes it away.
type Container struct {
	ID       ContainerID
	Name     string
	Kind     chemistry.WasteKind
	VolumeML int // 0 where nobody has said
	Active   bool
	Version  int
	HoldsML  float64 // summed from the ledger
}

// Containers are the lab's containers by key.
type Containers map[ContainerID]Container

// For returns the container that a volume (mL) of waste of a kind goes into:
// the one asked for or, for 0, the first one in use. Refused when it is for
// another kind, out of use, or too full.
func (all Containers) For(kind chemistry.WasteKind, wanted ContainerID, ml float64) (Container, error) {
	if wanted == 0 {
		first, err := all.First(kind)
		if err != nil {
			return Container{}, err
		}
		wanted = first.ID
	}
	c, ok := all[wanted]
	switch {
	case !ok:
		return Container{}, InvalidField("container", "there is no such container")
	case c.Kind != kind:
		return Container{}, Errorf(Refused, "%s is for %s waste, this is %s waste: keep them apart", c.Name, c.Kind, kind)
	case !c.Active:
		return Container{}, Errorf(Refused, "%s is out of use", c.Name)
	case c.VolumeML > 0 && c.HoldsML+ml > float64(c.VolumeML):
		return Container{}, Errorf(Refused, "%s holds %.0f of %d mL and cannot take %.0f mL more; choose another, or have it collected",
			c.Name, c.HoldsML, c.VolumeML, ml)
	}
	return c, nil
}

// First returns the first container in use for a kind of waste: what flows over
// goes there, full or not.
func (all Containers) First(kind chemistry.WasteKind) (Container, error) {
	for _, id := range slices.Sorted(maps.Keys(all)) {
		if c := all[id]; c.Kind == kind && c.Active {
			return c, nil
		}
	}
	return Container{}, Errorf(Refused, "there is no container for %s waste; set one up first", kind)
}
