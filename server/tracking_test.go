package server_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wetside/jobs"
	"wetside/server"
)

// order takes in an order with one roll of each stock.
func (l *lab) order(t *testing.T, stocks ...string) jobs.Order {
	t.Helper()
	order := jobs.NewOrder{Name: "Fen Alder", Email: "fen@example.org", Return: jobs.Post, Address: "Reed Lane 3"}
	for _, stock := range stocks {
		order.Rolls = append(order.Rolls, jobs.NewRoll{Stock: l.stocks[stock].ID, Format: "135", Exposures: 36})
	}
	taken, _, err := l.services.Orders.Submit(t.Context(), jobs.Customer, order, "")
	if err != nil {
		t.Fatal(err)
	}
	return taken
}

// checkIn takes a roll in as it was ordered, with a question or without.
func (l *lab) checkIn(t *testing.T, roll jobs.Roll, question string) jobs.Roll {
	t.Helper()
	got, err := l.services.Rolls.CheckIn(t.Context(), jobs.Actor{Name: "Kit"}, jobs.CheckIn{
		Roll: roll.ID, Version: roll.Version, Stock: roll.Stock, Format: roll.Format, Exposures: roll.Exposures,
		Confirmed: true, Push: roll.Push, EI: roll.EI, Solution: roll.Solution, Question: question,
	})
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func TestThePrivatePageTellsWhereEveryRollIs(t *testing.T) {
	t.Parallel()
	l := open(t)
	order := l.order(t, "Sedge 160", "Sedge 640", "Teal Slide 100", "Marl 400")
	l.checkIn(t, order.Rolls[0], "")
	l.checkIn(t, order.Rolls[1], "Is this Sedge 160?")
	spoiled := l.checkIn(t, order.Rolls[2], "")
	if _, err := l.services.Rolls.Spoil(t.Context(), jobs.Actor{Name: "Kit"}, spoiled.ID, spoiled.Version, "light got in"); err != nil {
		t.Fatal(err)
	}
	got := browse(t, l.URL).get("/o/" + order.Token).status(http.StatusOK)
	rolls := got.page.Find("main section[aria-label]")
	for i, want := range []struct{ chip, now, say string }{
		{"In line", "At the lab", "same development"},
		{"We have a question", "At the lab", "Is this Sedge 160?"},
		{"Spoiled", "", "light got in"},
		{"Not here yet", "On its way to us", "arrive"},
	} {
		roll := rolls.Eq(i)
		if chip := strings.TrimSpace(roll.Find(".chip").Text()); chip != want.chip {
			t.Errorf("roll %d: chip %q, want %q", i+1, chip, want.chip)
		}
		if now := strings.TrimSpace(roll.Find("[aria-current=step]").Text()); now != want.now {
			t.Errorf("roll %d: now %q, want %q", i+1, now, want.now)
		}
		if !strings.Contains(roll.Text(), want.say) {
			t.Errorf("roll %d does not say %q: %s", i+1, want.say, roll.Text())
		}
	}
	got.says(".page-head", "We have a question")
}

func TestPrivatePagesAreKeptFromOthers(t *testing.T) {
	t.Parallel()
	l := open(t)
	order := l.order(t, "Sedge 160")
	b := browse(t, l.URL)
	for _, path := range []string{"/o/" + order.Token, "/o/" + order.Token + "/slip"} {
		header := b.get(path).status(http.StatusOK).Header
		for name, want := range map[string]string{"Referrer-Policy": "no-referrer", "X-Robots-Tag": "noindex", "Cache-Control": "no-store"} {
			if got := header.Get(name); !strings.Contains(got, want) {
				t.Errorf("%s: %s is %q, want %q", path, name, got, want)
			}
		}
	}
	for _, token := range []string{"x", order.Token[1:], order.Token + "A", strings.ToUpper(order.Token), "%00", "%FF"} {
		got := b.get("/o/" + token).status(http.StatusNotFound)
		got.says("main", "no order")
		if !strings.Contains(got.Header.Get("X-Robots-Tag"), "noindex") {
			t.Error("a wrong link may be listed by search engines")
		}
	}
}

func TestThePackingSlip(t *testing.T) {
	t.Parallel()
	l := open(t, func(_ *server.Services, o *server.Options) { o.PublicURL = "https://quay.example/" })
	order := l.order(t, "Sedge 160", "Marl 400")
	got := browse(t, l.URL).get("/o/" + order.Token + "/slip").status(http.StatusOK)
	got.says(".slip", "https://quay.example/o/"+order.Token)
	got.says(".slip", "Sallow Quay 4")
	for _, roll := range order.Rolls {
		got.says(".write-on", roll.Label())
	}
	if path := got.page.Find("svg.qr path").AttrOr("d", ""); len(path) < 500 {
		t.Errorf("the code is drawn as %q", path)
	}
}

// Any link can be drawn: a square with a quiet border, its three corner marks
// in place (ISO/IEC 18004).
func TestEveryLinkCanBeDrawn(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		code, err := server.DrawQR("https://quay.example/o/" + rapid.StringMatching(`[A-Za-z0-9_-]{22}`).Draw(t, "token"))
		if err != nil {
			t.Fatal(err)
		}
		// Without its border of four a code is 17 modules and four more for each version.
		if n := code.Size - 8 - 17; n <= 0 || n%4 != 0 {
			t.Fatalf("size %d", code.Size)
		}
		right := code.Size - 4 - 7
		for _, corner := range [][2]int{{4, 4}, {right, 4}, {4, right}} {
			if !strings.Contains(code.Path, run(corner[0], corner[1], 7)) {
				t.Fatalf("no corner mark at %v in %s", corner, code.Path)
			}
		}
	})
}

// run is a run of dark modules as the path draws it.
func run(x, y, width int) string {
	return strings.NewReplacer("x", itoa(x), "y", itoa(y), "w", itoa(width)).Replace("Mx yhwv1h-wz")
}

func TestALinkIsFollowed(t *testing.T) {
	t.Parallel()
	l := open(t)
	order := l.order(t, "Sedge 160")
	b := browse(t, l.URL)
	b.get("/where").status(http.StatusOK)
	for _, link := range []string{order.Token, " " + order.Token + "\n", "https://quay.example/o/" + order.Token, l.URL + "/o/" + order.Token + "/slip"} {
		got := b.post("/where", url.Values{"link": {link}}).status(http.StatusSeeOther)
		if to := got.Header.Get("Location"); to != "/o/"+order.Token {
			t.Errorf("%q leads to %q", link, to)
		}
	}
	for link, status := range map[string]int{
		"": http.StatusUnprocessableEntity, "1001": http.StatusUnprocessableEntity,
		"https://elsewhere.example/": http.StatusUnprocessableEntity, strings.Repeat("A", 22): http.StatusNotFound,
	} {
		if got := b.post("/where", url.Values{"link": {link}}).status(status); got.faultBeside("link") == "" {
			t.Errorf("%q: nothing said beside the field", link)
		}
	}
}

func TestLinksAreNotGuessed(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL)
	tries := 0
	for ; tries < 100; tries++ {
		if got := b.post("/where", url.Values{"link": {strings.Repeat("A", 22)}}); got.StatusCode == http.StatusTooManyRequests {
			break
		}
	}
	if tries != 20 {
		t.Errorf("%d tries at once, want 20", tries)
	}
}
