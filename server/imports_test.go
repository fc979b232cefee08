package server_test

import (
	"bytes"
	"fmt"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"

	"wetside/jobs"
)

// sendFile sends a form as a browser does that brings a file.
func (b *browser) sendFile(path string, fields map[string]string, file string) answer {
	b.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for name, value := range fields {
		if err := form.WriteField(name, value); err != nil {
			b.t.Fatal(err)
		}
	}
	part, err := form.CreateFormFile("file", "orders.csv")
	if err != nil {
		b.t.Fatal(err)
	}
	if _, err := part.Write([]byte(file)); err != nil {
		b.t.Fatal(err)
	}
	if err := form.Close(); err != nil {
		b.t.Fatal(err)
	}
	return b.do(http.MethodPost, path, &body, "Content-Type", form.FormDataContentType())
}

// pressFile sends a form of a page with the file that it carries along.
func (b *browser) pressFile(a answer, button string) answer {
	b.t.Helper()
	fields := map[string]string{"do": button}
	for name, values := range a.typed(`form[action="/orders/import"]`) {
		fields[name] = values[0]
	}
	return b.sendFile("/orders/import", fields, "")
}

// A shop's file from the link on the page of orders to the packing slips.
func TestAFileOfOrdersInThePages(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Kit")
	orders := b.get("/orders").status(http.StatusOK)
	if orders.page.Find(`main a[href="/orders/import"]`).Length() != 1 {
		t.Error("the page of orders does not lead to the file")
	}
	form := b.get("/orders/import").status(http.StatusOK).light()
	for _, says := range []string{"300 rolls", "Marl 400; Reedmace 320T bare; Sedge 160", "PQ fine grain 1+4", "135; 120; 220; 4x5", jobs.OrderFileExample[:20]} {
		form.says("main", says)
	}
	if empty, ok := form.page.Find("a[download]").Attr("href"); !ok || !strings.HasPrefix(b.get(empty).status(http.StatusOK).body, "reference,name,email") {
		t.Error("no empty file can be taken away")
	}
	file := jobs.OrderFileExample + "A-19,Ivy Grebe,ivy@example.org,Marl 400,135,,,\"maybe push 1 or 2? very dark\"\n" +
		"A-20,Moss Teal,moss@example.org,Teal Slide 100,120,200,,\n"
	review := b.sendFile("/orders/import", map[string]string{"csv": "", "do": "review"}, file).status(http.StatusOK).light()
	if n := review.page.Find("section.card .reading").Length(); n != 5 {
		t.Errorf("%d rolls are read, want 5", n)
	}
	review.says("main .lead", "4 orders with 5 rolls")
	review.says("#line-2", "EI 1600")
	review.says("#line-2", "push +2")
	review.says("#line-2 blockquote", "shot at 1600, push 2")
	review.says("#line-4", "ISO 640 at EI 1250")
	review.says("#line-5", "A person decides")
	review.says("[aria-labelledby=mind]", "Line 5: Marl 400, 135 of Ivy Grebe A person decides")
	review.says("[aria-labelledby=mind]", "Line 6: Teal Slide 100")
	review.says("[aria-labelledby=order-1]", "Thu 5 March") // 72 hours later
	wantOrders := func(n int) {
		t.Helper()
		if kept, err := l.services.Orders.Orders(t.Context(), jobs.OrderQuery{Limit: 10}); err != nil || len(kept) != n {
			t.Errorf("%d orders are kept, %v; want %d", len(kept), err, n)
		}
	}
	wantOrders(0)
	back := b.pressFile(review, "edit").status(http.StatusOK)
	if kept := strings.ReplaceAll(back.typed("main form").Get("csv"), "\r\n", "\n"); kept != file || back.page.Find("#problems").Length() != 0 {
		t.Errorf("to be changed it is %q", kept)
	}
	taken := b.follow(b.pressFile(review, "take"))
	taken.says(".notice.done", "The file is taken in: 4 orders with 5 rolls.")
	taken.says("main .lead", "by Kit")
	taken.says("tbody", "A-19")
	wantOrders(4)
	slip := b.get(taken.page.Find("tbody a[href$='/slip']").First().AttrOr("href", "")).status(http.StatusOK)
	slip.says(".slip", "A-17")
	first := taken.page.Find("tbody th a").First().AttrOr("href", "")
	b.get(first).status(http.StatusOK).says("main", "A-17")
	b.get("/orders?q=a-17").status(http.StatusOK).says("tbody", "Fern Hollow")
	b.follow(b.get(taken.page.Find("tbody a[href^='/check-in']").First().AttrOr("href", ""))).says("main", "Fern Hollow")
	roll := b.get(b.get(first).page.Find(".roll-name").First().AttrOr("href", "")).status(http.StatusOK)
	roll.says(".history", "Kit")
	roll.says(".history", "Import expected")

	// Sent again, at either step, it is taken once.
	for _, again := range []func() answer{
		func() answer { return b.pressFile(review, "take") },
		func() answer { return b.sendFile("/orders/import", nil, strings.ReplaceAll(file, "\n", "\r\n")) },
	} {
		page := b.follow(again())
		page.says(".notice.done", "taken in already")
		page.says("tbody", "A-19")
	}
	wantOrders(4)
	// A file that grew brings what is there already: that is asked.
	grown := b.sendFile("/orders/import", nil, file+"A-21,Ivy Grebe,ivy@example.org,Marl 400,135,,,\n").status(http.StatusOK)
	grown.says("[aria-labelledby=mind]", "Order 1 of the file: A-17 of Fern Hollow Taken in before?")
	grown.says("[aria-labelledby=order-4]", "has the same reference and e-mail address")
	if grown.page.Find("[aria-labelledby=order-5] .advice.warn").Length() != 0 {
		t.Error("a new order is asked about")
	}
	b.get("/orders/import").says("[aria-labelledby=last]", "4 orders with 5 rolls")
	for _, none := range []string{"/orders/import/9", "/orders/import/x"} {
		b.get(none).status(http.StatusNotFound)
	}
}

// Whatever is wrong is told with its line, and the file is still there.
func TestAFileOfOrdersWithMistakes(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Kit")
	const head = "name,email,stock,format,push\n"
	for _, test := range []struct {
		name, file string
		says       []string
	}{
		{"nothing", " \n", []string{"Choose a file"}},
		{"columns", "nom,email,stock,format\n", []string{`"nom" is no column that is known here`, `"name" is missing`}},
		{"cells", head + "Fern,fern,Sedge 200,135,\n,,,\nIvy,ivy@example.org,Sedge 80,110,soon\n",
			[]string{"Line 2, email:", `Line 2, stock: there is no film stock "Sedge 200" here; the lab takes Marl 400`, "Line 4", "push"}},
		{"a rule of the trade", head + "Fern,fern@example.org,Sedge 160,135,3\n", []string{"Line 2, push:", "cannot be pushed"}},
		{"Latin-1", head + "F\xe9rn,fern@example.org,Sedge 160,135,\n", []string{"UTF-8"}},
		{"script", head + "<script>alert(1)</script>,x,Sedge 160,135,\n", []string{"Line 2, email:"}},
		{"too long", head + strings.Repeat("x", jobs.MaxFileBytes), []string{"at most 200000"}},
	} {
		for _, button := range []string{"review", "take"} {
			got := b.sendFile("/orders/import", map[string]string{"do": button}, test.file).status(http.StatusUnprocessableEntity)
			for _, says := range test.says {
				got.says("#problems", says)
			}
			got.faultBeside("csv")
			if kept := got.typed("main form").Get("csv"); kept != strings.ToValidUTF8(test.file, "\uFFFD") && strings.TrimSpace(test.file) != "" {
				t.Errorf("%s: the file became %.80q", test.name, kept)
			}
			if got.page.Find("main script").Length() != 0 {
				t.Errorf("%s: the file is not shown as text", test.name)
			}
		}
	}
	// A pasted table needs no file.
	pasted := b.sendFile("/orders/import", map[string]string{"csv": jobs.OrderFileExample}, "").status(http.StatusOK)
	pasted.says("main .lead", "2 orders with 3 rolls")
	b.sendFile("/orders/import", nil, strings.Repeat("x", 300_000)).status(http.StatusRequestEntityTooLarge)
	b.sendFileFrom("https://elsewhere.example", jobs.OrderFileExample).status(http.StatusForbidden)
	if kept, err := l.services.Orders.Orders(t.Context(), jobs.OrderQuery{Limit: 10}); err != nil || len(kept) != 0 {
		t.Errorf("kept of files that were refused: %v, %v", kept, err)
	}
}

// sendFileFrom sends a file as the page of another site would.
func (b *browser) sendFileFrom(origin, file string) answer {
	b.t.Helper()
	return b.do(http.MethodPost, "/orders/import", strings.NewReader("do=take&csv="+file),
		"Content-Type", "application/x-www-form-urlencoded", "Origin", origin, "Sec-Fetch-Site", "cross-site")
}

// The largest file there can be is taken through the pages as well.
func TestALargeFileOfOrders(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	var file strings.Builder
	file.WriteString("reference,name,email,stock,format,note\n")
	for i := range jobs.MaxFileRolls {
		fmt.Fprintf(&file, "%d,Fern Hollow,fern@example.org,Sedge 160,135,\"%s\"\n", i/3, strings.Repeat("one of many, ", 40))
	}
	review := b.sendFile("/orders/import", nil, file.String()).status(http.StatusOK)
	review.says("main .lead", "100 orders with 300 rolls")
	b.pressFile(review, "take").status(http.StatusSeeOther)
	if _, err := l.services.Imports.OneImport(t.Context(), 1); err != nil {
		t.Error(err)
	}
}
