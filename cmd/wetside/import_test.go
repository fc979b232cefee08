package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"wetside/cmd/wetside/demolab"
	"wetside/jobs"
)

// TestAFileOfOrdersInTheBrowser hands a shop's file in, first with mistakes. No
// link leads to the pages between: so they are checked here.
func TestAFileOfOrdersInTheBrowser(t *testing.T) {
	t.Parallel()
	p := start(t, dataFolder(t), "demo", "--addr", "127.0.0.1:0")
	c := openChrome(t, wideWidth, 900)
	c.signIn(p.url, demolab.SignIns[0])
	hand := func(text string) {
		file := filepath.Join(t.TempDir(), "orders.csv")
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		c.visit(p.url + "/orders")
		c.press(`main a[href="/orders/import"]`)
		c.do("choose the file", chromedp.SetUploadFiles(chromedp.CSS(`input[type=file]`), []string{file}))
	}

	hand(strings.Replace(jobs.OrderFileExample, "Sedge 640,135,1250,1", "Sedge 64,110,fast,6", 1))
	c.do("hand it in", chromedp.Click(chromedp.CSS(`main form button`)), chromedp.WaitVisible(chromedp.CSS("#problems")))
	for _, says := range []string{"Line 4, stock:", "Line 4, format:", "Line 4, ei:"} {
		if got := c.text("#problems"); !strings.Contains(got, says) {
			t.Errorf("%q does not say %q", got, says)
		}
	}
	checkPage(c, "a file with mistakes")

	hand(jobs.OrderFileExample + "A-19,Ivy Grebe,ivy@example.org,Marl 400,135,,,maybe push 1 or 2?\n")
	c.press(`main form button`)
	checkPage(c, "a file that is looked over")
	c.press(`.actions button[value=take]`)
	if got := c.text(".notice.done"); !strings.Contains(got, "3 orders with 4 rolls") {
		t.Errorf("it is said that %q", got)
	}
	checkPage(c, "a file that was taken in")
}
