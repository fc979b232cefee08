package server_test

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"wetside/jobs"
)

// fillIn opens the order form and fills in what is needed: one roll of a stock
// and who sends it.
func (l *lab) fillIn(b *browser, stock string) url.Values {
	form := b.get("/send").status(http.StatusOK).typed("#order")
	form.Set("rolls[0].stock", l.key(stock))
	form.Set("name", "Fen Alder")
	form.Set("email", "fen@example.org")
	return form
}

// key is how a form names a stock.
func (l *lab) key(stock string) string { return strconv.FormatInt(int64(l.stocks[stock].ID), 10) }

// press sends a form with one of its buttons.
func (b *browser) press(button string, form url.Values) answer {
	b.t.Helper()
	form.Set("do", button)
	return b.post("/send", form)
}

func TestAnOrderFromTheFormToItsPrivatePage(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL)
	form := l.fillIn(b, "Sedge 640")
	form.Set("rolls[0].ei", "1250")
	form.Set("rolls[0].push", "+1")
	form.Set("rolls[0].note", "one under all day\nthank you")

	review := b.press("review", form).status(http.StatusOK)
	review.says(".reading", "ISO 640 at EI 1250")
	// C-41 at push 1 takes 3:45 (Kodak Z-131, table 2-1).
	review.says(".reading", "3:45")
	review.says("main", "Thu 5 March") // 72 hours later
	if orders, err := l.services.Orders.Orders(t.Context(), jobs.OrderQuery{Limit: 10}); err != nil || len(orders) != 0 {
		t.Fatalf("a look over it stored %v, %v", orders, err)
	}

	sent := b.press("submit", review.typed("main form")).status(http.StatusSeeOther)
	path := sent.Header.Get("Location")
	order, err := l.services.Orders.OrderByToken(t.Context(), strings.TrimPrefix(path, "/o/"))
	if err != nil {
		t.Fatal(err)
	}
	roll := order.Rolls[0]
	if order.Name != "Fen Alder" || order.Return != jobs.Collect || roll.EI != 1250 || roll.Push != 6 ||
		roll.Note != "one under all day\nthank you" || roll.Service != (jobs.Service{CutAndSleeve: true, Scan: true, ReturnNegatives: true}) {
		t.Errorf("taken in: %+v", order)
	}
	page := b.get(path).status(http.StatusOK)
	page.says(".notice.done", strconv.Itoa(int(order.ID)))
	page.says(".strip [aria-current=step]", "On its way")
	if again := b.get(path); again.page.Find(".notice.done").Length() != 0 {
		t.Error("the notice is shown a second time")
	}
}

func TestAnOrderSentTwiceIsTakenOnce(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL)
	form := b.press("review", l.fillIn(b, "Sedge 160")).typed("main form")
	first := b.press("submit", form).status(http.StatusSeeOther).Header.Get("Location")
	if second := b.press("submit", form).status(http.StatusSeeOther).Header.Get("Location"); second != first {
		t.Errorf("sent again it leads to %s, not %s", second, first)
	}
	form.Set("name", "Somebody Else")
	other := b.press("submit", form).status(http.StatusConflict)
	if got := other.page.Find("#name, [name=name]").AttrOr("value", ""); got != "Somebody Else" {
		t.Errorf("the name typed is now %q", got)
	}
	orders, err := l.services.Orders.Orders(t.Context(), jobs.OrderQuery{Limit: 10})
	if err != nil || len(orders) != 1 {
		t.Errorf("%d orders, %v; want 1", len(orders), err)
	}
}

func TestWhatIsWrongStandsBesideItsField(t *testing.T) {
	t.Parallel()
	l := open(t)
	for _, test := range []struct {
		name, field, value, want string
	}{
		{"no stock", "rolls[0].stock", "", "film is missing"},
		{"unknown stock", "rolls[0].stock", "999", "does not take this film stock"},
		{"retired stock", "rolls[0].stock", "Sedge 80", "does not take this film stock"},
		{"stock that is no key", "rolls[0].stock", "Sedge", "choose one from the list"},
		{"nonsense EI", "rolls[0].ei", "fast", "the EI is no whole number"},
		{"EI beyond any rating", "rolls[0].ei", "102400", "no rating"},
		{"negative exposures", "rolls[0].exposures", "-3", "no whole number"},
		{"too many exposures", "rolls[0].exposures", "2000", "250"},
		{"impossible push", "rolls[0].push", "+3", "cannot be pushed by +3"},
		{"push that is no number", "rolls[0].push", "lots", "lots"},
		{"endless note", "rolls[0].note", strings.Repeat("a", 2001), "at most 2000"},
		{"no name", "name", " ", "name is missing"},
		{"no e-mail", "email", "", "e-mail address is missing"},
		{"an e-mail address that is none", "email", "fen", "name@example.org"},
		{"endless phone", "phone", strings.Repeat("1", 41), "at most 40"},
		{"post without address", "return", "post", "address"},
		{"no such way back", "return", "pigeon", "must be one of"},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			b := browse(t, l.URL)
			form := l.fillIn(b, "Sedge 160")
			form.Set("rolls[0].note", "keep this")
			form.Set(test.field, test.value)
			if stock, ok := l.stocks[test.value]; ok {
				form.Set(test.field, strconv.FormatInt(int64(stock.ID), 10))
			}
			for _, button := range []string{"review", "submit"} {
				got := b.press(button, form).status(http.StatusUnprocessableEntity)
				field := test.field
				if test.name == "post without address" {
					field = "address"
				}
				if said := got.faultBeside(field); !strings.Contains(strings.ToLower(said), strings.ToLower(test.want)) {
					t.Errorf("beside %s: %q, want %q", field, said, test.want)
				}
				kept := got.typed("#order")
				for name := range form {
					// A list cannot show a choice that it does not have.
					listed := kept.Get(name) == "" && strings.HasPrefix(test.field, "rolls[0].")
					if name != "do" && name != "return" && !(name == test.field && listed) && kept.Get(name) != form.Get(name) {
						t.Errorf("%s was typed as %q and is now %q", name, form.Get(name), kept.Get(name))
					}
				}
			}
		})
	}
}

func TestEveryFaultIsSaidAtOnce(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL)
	form := l.fillIn(b, "Sedge 160")
	form.Set("name", "")
	form.Set("rolls[0].ei", "x")
	form.Set("rolls[1].stock", l.key("Teal Slide 100"))
	form.Set("rolls[1].format", "110")
	got := b.press("review", form).status(http.StatusUnprocessableEntity)
	for _, field := range []string{"name", "rolls[0].ei", "rolls[1].format"} {
		if got.faultBeside(field) == "" {
			t.Errorf("nothing beside %s", field)
		}
	}
	got.says("#problems", "Roll 2:")
	got.says("title", "Error:")
}

func TestRollsAreAddedCopiedAndRemovedWithoutScripts(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL)
	form := l.fillIn(b, "Sedge 160")
	form.Set("rolls[0].note", "first")
	form.Del("rolls[0].scan")
	count := func(a answer) int { return a.page.Find("section.roll").Length() }

	added := b.press("add", form).status(http.StatusOK)
	if count(added) != 2 || added.page.Find("#problems").Length() != 0 {
		t.Fatalf("after add: %d rolls, problems %q", count(added), added.text("#problems"))
	}
	if _, ok := added.page.Find("[name='rolls[1].stock']").Attr("autofocus"); !ok {
		t.Error("the new roll is not gone on with")
	}
	copied := b.press("copy-0", added.typed("#order")).status(http.StatusOK)
	form = copied.typed("#order")
	if count(copied) != 3 || form.Get("rolls[2].note") != "first" || form.Has("rolls[2].scan") {
		t.Fatalf("after copy: %v", form)
	}
	removed := b.press("remove-0", form).status(http.StatusOK)
	form = removed.typed("#order")
	if count(removed) != 2 || form.Get("rolls[0].note") != "" || form.Get("rolls[1].note") != "first" || form.Get("name") != "Fen Alder" {
		t.Fatalf("after remove: %v", form)
	}
	for _, button := range []string{"remove-9", "remove--1", "remove-", "copy-9", "dance"} {
		if got := b.press(button, form).status(http.StatusOK); count(got) != 2 {
			t.Errorf("%s left %d rolls", button, count(got))
		}
	}
	form.Set("rolls[49].note", "the last there can be")
	full := b.press("add", form).status(http.StatusOK)
	if count(full) != jobs.MaxRolls || full.page.Find("button[value=add]").Length() != 0 {
		t.Errorf("a full order has %d rolls", count(full))
	}
	form.Set("rolls[50].note", "one too many")
	b.press("read", form).status(http.StatusUnprocessableEntity).says("main", "at most 50")
}

func TestTheLabReadsWhileTheFormIsFilledIn(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL)
	form := b.get("/send").typed("#order")
	form.Set("rolls[0].stock", l.key("Marl 400"))
	form.Set("rolls[0].note", "shot at 1600, push 2")
	got := b.press("read", form).status(http.StatusOK)
	// Two stops more in MQ borax: 14 minutes (the times of the fixture).
	got.says("#reading-0", "14:00")
	got.says("#reading-0", "MQ borax")
	options := got.page.Find("#developer-0 option")
	if options.Length() != 3 {
		t.Fatalf("%d developers to choose from, want the usual one and two by name", options.Length())
	}
	form.Set("rolls[0].solution", options.Last().AttrOr("value", ""))
	b.press("read", form).says("#reading-0", "13:00")

	form.Set("rolls[0].stock", l.key("Teal Slide 100"))
	form.Set("rolls[0].light", "tungsten")
	form.Del("rolls[0].solution")
	form.Set("rolls[0].note", "")
	got = b.press("refresh", form).status(http.StatusOK)
	got.says("#reading-0", "131 mired")
	if got.page.Find("#developer-0 select").Length() != 0 {
		t.Error("a slide film can choose its black-and-white developer")
	}
	form.Set("rolls[0].ei", "x")
	if got := b.press("refresh", form).status(http.StatusOK); got.page.Find("#problems").Length() != 0 {
		t.Error("refreshing complains about what is still being typed")
	}
	b.press("read", form).status(http.StatusUnprocessableEntity)
}
