//go:build pictures

package main

import (
	"context"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"wetside/cmd/wetside/demolab"
)

// pictures is where the README's pictures are kept.
const pictures = "../../.pictures"

// TestPictures takes the README's pictures anew. Its build tag keeps it out of
// the suite: a picture is for looking at, not for comparing.
func TestPictures(t *testing.T) {
	p := start(t, dataFolder(t), "demo", "--addr", "127.0.0.1:0")
	private := regexp.MustCompile(`http://\S+/o/\S+`).FindString(p.said.String())
	if err := os.MkdirAll(pictures, 0o755); err != nil {
		t.Fatal(err)
	}
	c := openChrome(t, wideWidth, 900)
	take := func(name, address string, width int64, dark bool) {
		c.do("size", widen(width))
		c.dark(dark)
		c.visit(address)
		if err := os.WriteFile(filepath.Join(pictures, name+".png"), c.picture(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	take("send", p.url+"/send", wideWidth, false)
	take("where", private, narrowWidth, true)
	c.signIn(p.url, demolab.SignIns[0])
	take("today", p.url+"/today", wideWidth, false)
	take("plan", p.url+"/plan", wideWidth, false)
	take("run-sheet", p.url+linkOn(c, p.url+"/plan", `^\/batches\/\d+ `), wideWidth, true)
	c.do("forget who signed in", forgetCookies)
	c.signIn(p.url, demolab.SignIns[1])
	take("chemistry", p.url+"/chemistry", wideWidth, false)
	take("course", p.url+linkOn(c, p.url+"/chemistry", `^\/fills\/\d+ MQ borax`)+"#course", wideWidth, false)
	take("strips", p.url+linkOn(c, p.url+"/chemistry/strips", `^\/chemistry\/strips\/\d+\/C-41 `), wideWidth, true)
	take("morning", p.url+"/chemistry/morning", wideWidth, false)
}

// linkOn is the first address on a page that fits a pattern together with the
// words that lead there.
func linkOn(c *chrome, page, pattern string) string {
	c.visit(page)
	return evaluate[string](c, `[...document.querySelectorAll('main a')].find(a => /`+pattern+`/.test(a.getAttribute('href') + ' ' + a.textContent)).getAttribute('href')`)
}

// forgetCookies makes the browser a stranger again.
func forgetCookies(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
	_, err := cdp.Call(ctx, tab, network.ClearBrowserCookies, cdp.Empty{})
	return chromedp.Void{}, err
}

// picture takes what is on the screen, as PNG.
func (c *chrome) picture() []byte {
	c.t.Helper()
	ctx, cancel := context.WithTimeout(c.ctx, stepWithin)
	defer cancel()
	png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err != nil {
		c.t.Fatalf("picture: %v", err)
	}
	return png
}
