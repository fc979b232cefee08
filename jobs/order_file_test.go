package jobs

import (
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"wetside/chemistry"
)

const sedge640 StockID = 111

// fileCounter is the counter with the stock of the example.
func fileCounter() Catalogue {
	c := counter()
	fast := c.Stocks[sedge160]
	fast.ID, fast.Name, fast.Film.ISODaylight = sedge640, "Sedge 640", 640
	c.Stocks[sedge640] = fast
	return c
}

// ordersIn reads a file in a lab with nothing to do.
func ordersIn(text string) ([]FileOrder, error) {
	file, err := ParseOrderFile(text)
	if err != nil {
		return nil, err
	}
	return file.Orders(fileCounter(), Workload{}, monday)
}

func TestTheExampleOfAnOrderFile(t *testing.T) {
	t.Parallel()
	orders, err := ordersIn(OrderFileExample)
	if err != nil || len(orders) != 2 {
		t.Fatalf("%d orders, %v", len(orders), err)
	}
	all := Service{CutAndSleeve: true, Scan: true, ReturnNegatives: true}
	one := chemistry.Stop
	want := []NewOrder{
		{Reference: "A-17", Name: "Fern Hollow", Email: "fern@example.org", Return: Collect, Rolls: []NewRoll{
			{Stock: marl400, Format: chemistry.Format135, Note: "shot at 1600, push 2", Service: all},
			{Stock: sedge160, Format: chemistry.Format120, Service: all},
		}},
		{Reference: "A-18", Name: "Linden Curlew", Email: "linden@example.org", Return: Collect, Rolls: []NewRoll{
			{Stock: sedge640, Format: chemistry.Format135, EI: 1250, Push: &one, Service: all},
		}},
	}
	if diff := cmp.Diff(want, []NewOrder{orders[0].Sent, orders[1].Sent}); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]int{2, 3}, orders[0].Lines); diff != "" {
		t.Error(diff)
	}
	// The note is read as on the order form.
	if roll := orders[0].Admitted.Rolls[0]; roll.Push != 2*chemistry.Stop || roll.EI != 1600 || roll.Confirm || orders[0].Admitted.Reference != "A-17" {
		t.Errorf("admitted as %+v", roll)
	}
	readme, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(readme), "```csv\n"+OrderFileExample+"```") {
		t.Error("the README shows another example")
	}
}

const (
	orderHead = "name,email,stock,format"
	orderRow  = "Wren Alder,wren@example.org,Sedge 160,135"
)

func TestOrderFilesAreReadHoweverTheyWereSaved(t *testing.T) {
	t.Parallel()
	plain := orderHead + "\n" + orderRow + "\n"
	swap := func(from, to string) string { return strings.ReplaceAll(plain, from, to) }
	key := ""
	for _, test := range []struct{ name, text string }{
		{"commas", plain},
		{"no line at the end", strings.TrimSpace(plain)},
		{"as Windows writes", "\ufeff" + swap("\n", "\r\n")},
		{"semicolons", swap(",", ";")},
		{"tabs", swap(",", "\t")},
		{"quoted", orderHead + "\n\"" + strings.ReplaceAll(orderRow, ",", `","`) + "\""},
		{"spaces", swap(",", " , ")},
		{"capitals in the names", strings.ToUpper(orderHead) + "\n" + orderRow},
		{"another order", "format,stock,email,name\n135,Sedge 160,wren@example.org,Wren Alder\n"},
		{"empty lines and rows", "\n" + orderHead + "\n,,,\n\n" + orderRow + "\n , ,,\n"},
		{"columns without a name", strings.ReplaceAll(plain, "\n", ",,\n")},
		{"remarks", orderHead + "\n\"# stock: Sedge 160, Marl 400\"\n#,,,\n" + orderRow + "\n# the end"},
	} {
		orders, err := ordersIn(test.text)
		if err != nil || len(orders) != 1 {
			t.Errorf("%s: %d orders, %v", test.name, len(orders), err)
			continue
		}
		want := sent(NewRoll{Stock: sedge160, Format: chemistry.Format135, Service: Service{CutAndSleeve: true, Scan: true, ReturnNegatives: true}})
		if diff := cmp.Diff(want, orders[0].Sent); diff != "" {
			t.Errorf("%s:\n%s", test.name, diff)
		}
		file, _ := ParseOrderFile(test.text)
		if key == "" {
			key = file.Key()
		}
		if file.Key() != key {
			t.Errorf("%s: it counts as another file", test.name)
		}
	}
	if other, _ := ParseOrderFile(strings.Replace(plain, "160", "640", 1)); other.Key() == key {
		t.Error("another film counts as the same file")
	}
}

func TestEveryCellOfAnOrderFile(t *testing.T) {
	t.Parallel()
	half := -chemistry.Stop / 2
	orders, err := ordersIn("Reference;Name;Email;Phone;Return;Address;Stock;Format;Exposures;Light;Filter;EI;Push;Developer;Note;Cut and sleeve;scan;return-negatives\n" +
		`=1+1;=SUM(A1);wren@example.org;+31 20 555;Post;"1 Quay Street` + "\r\n" + `Sallow";marl  125;4×5;4;Daylight;85b;100;−½;pq fine  grain;"two; sheets";no;FALSE;Yes` + "\n")
	if err != nil || len(orders) != 1 {
		t.Fatalf("%d orders, %v", len(orders), err)
	}
	want := NewOrder{
		Reference: "=1+1", Name: "=SUM(A1)", Email: "wren@example.org", Phone: "+31 20 555", Return: Post, Address: "1 Quay Street\nSallow",
		Rolls: []NewRoll{{Stock: marl125, Format: chemistry.Format4x5, Exposures: 4, Light: "Daylight", Filter: "85b", EI: 100, Push: &half,
			Solution: pqFineGrain, Note: "two; sheets", Service: Service{ReturnNegatives: true}}},
	}
	if diff := cmp.Diff(want, orders[0].Sent); diff != "" {
		t.Error(diff)
	}
	if roll := orders[0].Admitted.Rolls[0]; roll.Light != chemistry.LightDaylight || roll.Filter != "85B" {
		t.Errorf("admitted as %+v", roll)
	}
}

func TestRowsAreGroupedIntoOrders(t *testing.T) {
	t.Parallel()
	const head = "reference,name,email,phone,return,address,stock,format\n"
	for _, test := range []struct {
		name, rows string
		want       [][]int
	}{
		{"by reference", "A,Wren,wren@example.org,,,,Sedge 160,135\nB,Wren,wren@example.org,,,,Sedge 160,135\na,,,,,,Marl 400,120\n", [][]int{{2, 4}, {3}}},
		{"by e-mail", ",Wren,wren@example.org,,,,Sedge 160,135\n,Fern,fern@example.org,,,,Sedge 160,135\n,,WREN@example.org,,,,Marl 400,120\n", [][]int{{2, 4}, {3}}},
		{"both", "A,Wren,wren@example.org,,,,Sedge 160,135\n,Wren,wren@example.org,,,,Sedge 160,135\n", [][]int{{2}, {3}}},
		{"said later", "A,,wren@example.org,,,,Sedge 160,135\nA,Wren,,12,post,Quay 1,Marl 400,120\n", [][]int{{2, 3}}},
	} {
		orders, err := ordersIn(head + test.rows)
		var got [][]int
		for _, order := range orders {
			got = append(got, order.Lines)
		}
		if diff := cmp.Diff(test.want, got); diff != "" || err != nil {
			t.Errorf("%s: %v\n%s", test.name, err, diff)
		}
	}
}

// The rolls of a file lie behind each other: the second order is promised as
// if it had been sent by itself after the first.
func TestOrdersOfAFileArePromisedBehindEachOther(t *testing.T) {
	t.Parallel()
	c := fileCounter()
	c.Lab.ReadyHours = 1
	var text strings.Builder
	text.WriteString("reference," + orderHead + "\n")
	for i := range 40 {
		fmt.Fprintf(&text, "%c,%s\n", 'A'+i/20, orderRow)
	}
	file, err := ParseOrderFile(text.String())
	if err != nil {
		t.Fatal(err)
	}
	work := Workload{Pace: known(time.Hour, time.Hour)}
	orders, err := file.Orders(c, work, monday)
	if err != nil || len(orders) != 2 {
		t.Fatalf("%d orders, %v", len(orders), err)
	}
	first, err := Admit(orders[0].Sent, c, work, monday)
	if err != nil {
		t.Fatal(err)
	}
	work.Waiting = []Waiting{{WorkKind: first.Rolls[0].Kind(), Expected: 20}}
	second, err := Admit(orders[1].Sent, c, work, monday)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]time.Time{first.Due, second.Due}, []time.Time{orders[0].Admitted.Due, orders[1].Admitted.Due}); diff != "" || !second.Due.After(first.Due) {
		t.Errorf("promised for %v and %v:\n%s", first.Due, second.Due, diff)
	}
}

func TestOrderFilesAreRefused(t *testing.T) {
	t.Parallel()
	const full = "reference,name,email,phone,return,address,stock,format,exposures,light,filter,ei,push,developer,note,scan\n"
	row := func(cells string) string { return full + cells + "\n" }
	for _, test := range []struct {
		name, text string
		fields     []string
		says       []string
	}{
		{"nothing", "", []string{"csv"}, []string{"the file is empty"}},
		{"no orders", orderHead + "\n# nothing yet\n", []string{"csv"}, []string{"no orders"}},
		{"no UTF-8", orderHead + "\nW\xe9n", []string{"csv"}, []string{"UTF-8"}},
		{"too large", strings.Repeat("x", MaxFileBytes+1), []string{"csv"}, []string{"at most 200000"}},
		{"too many rolls", orderHead + strings.Repeat("\n"+orderRow, MaxFileRolls+1), []string{"csv"}, []string{"more than 300 rolls"}},
		{"unknown columns", "name,email,film,format,shoe size,name\n", []string{"csv", "csv", "csv", "csv"},
			[]string{`"film" is no column`, "reference, name", `"shoe size"`, `"name" stands there twice`, `the column "stock" is missing`}},
		{"a broken quote", orderHead + "\n" + orderRow + "\n\"Wren,x\n", []string{"lines[3]"}, []string{"line 3: it cannot be read"}},
		{"a comma too many", orderHead + "\n" + orderRow + ",or two\n", []string{"lines[2]"}, []string{"it has 5 cells, the first line names 4", "quotes"}},
		{"a row cut short", orderHead + "\nWren,wren@example.org\n", []string{"lines[2]"}, []string{"it has 2 cells"}},
		{"a cell without a column", orderHead + ",\n" + orderRow + ",x\n", []string{"lines[2]"}, []string{"has no name in the first line"}},
		{"no remark", orderHead + "\n#,,Sedge 160,\n", []string{"lines[2].email", "lines[2].format"}, nil},
		{"all empty", row("A,,,,,,,,,,,,,,,"), []string{"lines[2].name", "lines[2].email", "lines[2].stock", "lines[2].format"},
			[]string{"a name is missing", "an e-mail address is missing", "the film stock is missing; the lab takes Marl", "the format is missing; allowed are 135; 120"}},
		{"every cell", row("A,Wren,wren,,pigeon,,Sedge 200,110,many,moon,99Z,fast,much,tea,,perhaps"),
			[]string{"lines[2].email", "lines[2].return", "lines[2].stock", "lines[2].format", "lines[2].exposures", "lines[2].light", "lines[2].filter", "lines[2].ei", "lines[2].push", "lines[2].developer", "lines[2].scan"},
			[]string{"line 2, email:", "collect, post", `there is no film stock "Sedge 200" here; the lab takes Marl`, "135, 120, 220 and 4x5", `"many" is no whole number`,
				"daylight, tungsten", "85B", `"fast" is no whole number`, "write it like 1", "MQ borax", "neither yes nor no", "11 mistakes", "nothing of it was taken in"}},
		{"a retired stock", row("A,Wren,wren@example.org,,,,Marl 50,135,,,,,,,,"), []string{"lines[2].stock"}, []string{"does not take this film stock"}},
		{"a developer for colour", row("A,Wren,wren@example.org,,,,Sedge 160,135,,,,,,MQ borax,,"), []string{"lines[2].developer"}, []string{"only chosen for black-and-white"}},
		{"an EI that is none", row("A,Wren,wren@example.org,,,,Sedge 160,135,,,,12800,,,,"), []string{"lines[2].ei"}, []string{"no rating"}},
		{"a push that the stock cannot take", row("A,Wren,wren@example.org,,,,Sedge 160,135,,,,,3,,,"), []string{"lines[2].push"}, []string{"cannot be pushed"}},
		{"two requests", row(`A,Wren,wren@example.org,,,,Sedge 160,135,,,,,1,,please push 2 stops,`), []string{"lines[2].note"}, []string{"two requests in one roll"}},
		{"posted to nowhere", row("A,Wren,wren@example.org,,post,,Sedge 160,135,,,,,,,,"), []string{"lines[2].address"}, []string{"missing"}},
		{"an address and no way back", row("A,Wren,wren@example.org,,,Quay 1,Sedge 160,135,,,,,,,,"), []string{"lines[2].return"}, []string{"collect or post"}},
		{"two customers in one order", row("A,Wren,wren@example.org,,,,Sedge 160,135,,,,,,,,\nA,Fern,,,,,Sedge 160,135,,,,,,,,"),
			[]string{"lines[3].name"}, []string{`"Fern", while line 2 of the same order says "Wren"`}},
		{"a long reference", row(strings.Repeat("A", 41) + ",Wren,wren@example.org,,,,Sedge 160,135,,,,,,,,"), []string{"lines[2].reference"}, []string{"too long"}},
		{"a zero byte", row("A,Wren,wren@example.org,,,,Sedge 160,135,,,,,,,a\x00b,"), []string{"lines[2].note"}, []string{"U+0000"}},
		{"a roll too many", orderHead + strings.Repeat("\n"+orderRow, MaxRolls+1), []string{"lines[52].reference"}, []string{"roll 51 of its order, which takes at most 50"}},
		{"in the order of the lines", orderHead + "\n\n" + orderRow + "0\n,wren@example.org,Sedge 160,\n,wren@example.org,Sedge 16,135",
			[]string{"lines[3].format", "lines[4].format", "lines[5].stock"}, []string{"3 mistakes"}},
	} {
		orders, err := ordersIn(test.text)
		var told *Error
		if len(orders) > 0 || !errors.As(err, &told) || told.Code != Invalid {
			t.Errorf("%s: %d orders, %v", test.name, len(orders), err)
			continue
		}
		wantFields(t, err, test.fields...)
		for _, says := range test.says {
			if !strings.Contains(err.Error(), says) {
				t.Errorf("%s: %v\nit does not say %q", test.name, err, says)
			}
		}
	}
}

func TestManyMistakesAreCounted(t *testing.T) {
	t.Parallel()
	_, err := ordersIn(orderHead + strings.Repeat("\n"+strings.Replace(orderRow, "135", "110", 1), MaxRolls) +
		strings.Repeat("\n"+strings.Replace(orderRow, "wren", "fern", 1)+"0", MaxRolls) + strings.Repeat("\nIvy,ivy@example.org,x,x", 3))
	var told *Error
	if !errors.As(err, &told) || len(told.Fields) != maxCellsNamed+1 || told.Fields[maxCellsNamed].Message != "6 mistakes more" {
		t.Errorf("%v", err)
	}
}

func TestOrderTemplate(t *testing.T) {
	t.Parallel()
	template := OrderTemplate(counter())
	file, err := ParseOrderFile(template)
	if err != nil || len(file.Rows) != 0 || len(file.wrong) != 0 {
		t.Fatalf("%+v, %v", file, err)
	}
	for _, says := range []string{"# stock (needed): One of: Marl 125; Marl 3200; Marl 400;", "# developer: Black and white only, one of: MQ borax", "# format (needed): One of: 135; 120; 220; 4x5.", "85B"} {
		if !strings.Contains(template, says) {
			t.Errorf("the template does not say %q:\n%s", says, template)
		}
	}
	if strings.Contains(template, "Marl 50;") {
		t.Error("the template offers a stock that is not taken")
	}
	filled, err := ordersIn(template + "A,Wren,wren@example.org,,,,Sedge 160,135,,,,,,,,,,\n")
	if err != nil || len(filled) != 1 {
		t.Errorf("a template that was filled in: %d orders, %v", len(filled), err)
	}
}

// What was written is read as it was.
func TestOrderFileRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var file OrderFile
		cell := rapid.StringMatching(`[#=+@\-a"',;\t\n\\ .é]{0,6}`)
		for line := range rapid.IntRange(0, 5).Draw(t, "rows") {
			row := OrderRow{Line: line + 2, Cells: map[string]string{"name": "Wren", "note": "x"}}
			for _, column := range columnNames() {
				if text := strings.TrimSpace(cell.Draw(t, column)); text != "" {
					row.Cells[column] = text
				}
			}
			file.Rows = append(file.Rows, row)
		}
		checkRoundTrip(t, file)
	})
}

// checkRoundTrip writes a file and reads it again; only the lines may differ,
// because a cell can have several.
func checkRoundTrip(t rapid.TB, file OrderFile) {
	t.Helper()
	again, err := ParseOrderFile(file.String())
	if err != nil || len(again.wrong) != 0 {
		t.Fatalf("%v, %v in %q", err, again.wrong, file.String())
	}
	cells := func(f OrderFile) (cells []map[string]string) {
		for _, row := range f.Rows {
			cells = append(cells, row.Cells)
		}
		return cells
	}
	if diff := cmp.Diff(cells(file), cells(again)); diff != "" || again.Key() != file.Key() {
		t.Errorf("%q\n%s", file.String(), diff)
	}
}

// Whatever a file holds, it is read or found fault with in words, and what was
// read can be written and read again.
func FuzzOrderFile(f *testing.F) {
	for _, seed := range []string{
		OrderFileExample, orderHead + "\n" + orderRow, strings.ReplaceAll(OrderFileExample, ",", ";"), OrderTemplate(counter()),
		"\ufeff" + strings.ReplaceAll(orderHead+",push,note\n"+orderRow+",½,\"a\nb\"", "\n", "\r\n"), orderHead + "\n\"", "a\r,b\r\r\n", "#\n#", ",,,\n",
		orderHead + ",\n" + orderRow + ",\n\n#\n", "name\temail\tstock\tformat\r\nx\ty\tz\t\"\r\r\n\"", orderHead + ",ei,exposures\n" + orderRow + ",99999999999999999999,-1",
	} {
		f.Add(seed)
	}
	c := fileCounter()
	f.Fuzz(func(t *testing.T, text string) {
		file, err := ParseOrderFile(text)
		if err == nil {
			if len(file.wrong) == 0 && len(file.String()) <= MaxFileBytes {
				checkRoundTrip(t, file)
			}
			var orders []FileOrder
			orders, err = file.Orders(c, Workload{}, monday)
			rolls := 0
			for _, order := range orders {
				rolls += len(order.Admitted.Rolls)
			}
			if err == nil && (rolls != len(file.Rows) || rolls == 0) {
				t.Errorf("%d rolls of %d rows", rolls, len(file.Rows))
			}
		}
		if err != nil && CodeOf(err) != Invalid {
			t.Errorf("%q: %v", text, err)
		}
	})
}

// A file as large as it may be, in orders of one roll.
func BenchmarkOrderFile(b *testing.B) {
	var text strings.Builder
	write := csv.NewWriter(&text)
	rows := [][]string{{"reference", "name", "email", "stock", "format", "push", "note"}}
	for i := range MaxFileRolls {
		stock := []string{"Marl 400", "Sedge 160", "Teal Slide 100"}[i%3]
		rows = append(rows, []string{fmt.Sprint(i), "Wren Alder", "wren@example.org", stock, "135", "1", "thank you"})
	}
	if err := write.WriteAll(rows); err != nil {
		b.Fatal(err)
	}
	c := counter()
	for b.Loop() {
		file, err := ParseOrderFile(text.String())
		if err != nil {
			b.Fatal(err)
		}
		if _, err := file.Orders(c, Workload{}, monday); err != nil {
			b.Fatal(err)
		}
	}
}
