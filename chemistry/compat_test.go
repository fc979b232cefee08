package chemistry

import (
	"errors"
	"strings"
	"testing"
)

// Remjet belongs in ECN-2 only (Kodak H-24, module 7); the hazard in C-41 is
// common practice, no source.
func TestCompatible(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		made    Process
		remjet  Remjet
		asked   Process
		refused string // part of the reason; "" is allowed
	}{
		{C41, RemjetNone, C41, ""}, {C41, RemjetRemoved, C41, ""}, {E6, RemjetNone, E6, ""},
		{ECN2, RemjetPresent, ECN2, ""}, {ECN2, RemjetNone, ECN2, ""}, {ECN2, RemjetUnknown, ECN2, ""},
		{BW, RemjetNone, BW, ""}, {BW, RemjetUnknown, BW, ""}, {BW, "", BW, ""},
		{ECN2, RemjetPresent, C41, "remjet is present"}, {C41, RemjetPresent, C41, "remjet is present"}, {E6, RemjetPresent, E6, "remjet is present"},
		{BW, RemjetPresent, BW, "remjet is present"},
		{C41, RemjetUnknown, C41, "not known"}, {C41, "", C41, "not known"}, {E6, RemjetUnknown, E6, "not known"},
		{C41, RemjetNone, E6, "made for C-41, not for E-6"}, {C41, RemjetRemoved, ECN2, "made for C-41, not for ECN-2"}, {BW, RemjetNone, C41, "made for BW"},
		{ECN2, RemjetNone, C41, "made for ECN-2"}, {C41, RemjetNone, BW, "made for C-41"},
	} {
		err := Compatible(Film{Process: c.made, Remjet: c.remjet}, c.asked)
		var incompatible *Incompatible
		switch {
		case c.refused == "" && err != nil:
			t.Errorf("%s film, remjet %q, in %s: %v", c.made, c.remjet, c.asked, err)
		case c.refused != "" && (!errors.As(err, &incompatible) || !strings.Contains(err.Error(), c.refused) || incompatible.Process != c.asked):
			t.Errorf("%s film, remjet %q, in %s: %v; want a refusal saying %q", c.made, c.remjet, c.asked, err, c.refused)
		}
	}
}
