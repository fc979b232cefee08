package chemistry

import (
	"errors"
	"testing"

	"pgregory.net/rapid"
)

// 017563 → 1756 → 109-12, 24 exposures (ISO 1007 / ANSI IT1.14 as described in
// encyclopaedias).
func TestParseCartridge(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"017563", " 017563\n", "01 7563"} {
		got, err := ParseCartridge(text)
		want := Cartridge{Maker: 0, DX: 1756, Exposures: 24}
		if err != nil || got != want || got.DX.String() != "109-12" {
			t.Errorf("ParseCartridge(%q) = %+v (%s), %v", text, got, got.DX, err)
		}
	}
	if got, err := ParseCartridge("917560"); err != nil || got != (Cartridge{9, 1756, 0}) {
		t.Errorf("exposures not given: %+v, %v", got, err)
	}
	for _, text := range []string{"", "01756", "0175630", "01756x", "０17563", "000153", "-17563", "109-12"} {
		if got, err := ParseCartridge(text); !errors.Is(err, ErrDX) || got != (Cartridge{}) {
			t.Errorf("ParseCartridge(%q) = %+v, %v; want ErrDX", text, got, err)
		}
	}
}

func TestParseDXNumber(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]DXNumber{"109-12": 1756, "109–12": 1756, " 109 - 12 ": 1756, "109/12": 1756, "1756": 1756, "1-0": 16, "624-15": 9999, "16": 16} {
		if got, err := ParseDXNumber(text); err != nil || got != want {
			t.Errorf("ParseDXNumber(%q) = %d, %v; want %d", text, got, err, want)
		}
	}
	for _, text := range []string{"", "-", "109-", "-12", "109-16", "0-1", "625-0", "15", "17563", "109-12-1", "109-x", "1.5"} {
		if got, err := ParseDXNumber(text); !errors.Is(err, ErrDX) {
			t.Errorf("ParseDXNumber(%q) = %d, %v; want ErrDX", text, got, err)
		}
	}
}

func TestDXComesBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		number := DXNumber(rapid.IntRange(16, int(MaxDXNumber)).Draw(t, "number"))
		if got, err := ComposeDX(number.Split()); err != nil || got != number {
			t.Fatalf("%d split and joined is %d, %v", number, got, err)
		}
		if got, err := ParseDXNumber(number.String()); err != nil || got != number {
			t.Fatalf("%s read back as %d, %v", number, got, err)
		}
	})
}

func FuzzParseDX(f *testing.F) {
	for _, text := range []string{"017563", "109-12", "1756", "625-0", "-", "999999"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		number, err := ParseDXNumber(text)
		if err == nil && (number < 16 || number > MaxDXNumber) || err != nil && !errors.Is(err, ErrDX) {
			t.Fatalf("ParseDXNumber(%q) = %d, %v", text, number, err)
		}
		cartridge, err := ParseCartridge(text)
		if err == nil && (cartridge.DX < 16 || cartridge.DX > MaxDXNumber || cartridge.Maker > 9) || err != nil && !errors.Is(err, ErrDX) {
			t.Fatalf("ParseCartridge(%q) = %+v, %v", text, cartridge, err)
		}
	})
}
