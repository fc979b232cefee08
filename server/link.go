package server

import (
	"fmt"
	"net/http"
	"regexp"
	"strings"

	"github.com/boombuler/barcode/qr"
	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// publicURL is how the outside reaches this server.
func (s *site) publicURL(c echo.Context) string {
	if s.options.PublicURL != "" {
		return strings.TrimSuffix(s.options.PublicURL, "/")
	}
	scheme := "http://"
	if s.options.Secure {
		scheme = "https://"
	}
	return scheme + c.Request().Host
}

// quietZone is the empty border that a reader needs around a code, in modules
// (ISO/IEC 18004).
const quietZone = 4

// drawQR draws a code as one path, a run of dark modules after the other.
func drawQR(text string) (web.QR, error) {
	code, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return web.QR{}, fmt.Errorf("code of a private link: %w", err)
	}
	size := code.Bounds().Dx()
	dark := func(x, y int) bool {
		if x >= size {
			return false
		}
		red, _, _, _ := code.At(x, y).RGBA()
		return red == 0
	}
	var path strings.Builder
	for y := range size {
		for x := 0; x < size; x++ {
			begin := x
			for dark(x, y) {
				x++
			}
			if x > begin {
				fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", begin+quietZone, y+quietZone, x-begin, x-begin)
			}
		}
	}
	return web.QR{Size: size + 2*quietZone, Path: path.String()}, nil
}

// where asks for a private link.
func (p trackingPages) where(c echo.Context) error {
	return p.askLink(c, http.StatusOK, "", "")
}

func (p trackingPages) askLink(c echo.Context, status int, typed, fault string) error {
	var wrong faults
	if fault != "" {
		wrong.add("link", "%s", fault)
	}
	return p.show(c, status, &web.WherePage{
		Frame: web.Frame{Title: "Where is my film?", Problems: wrong.problems()},
		Link: web.Field{Kind: web.Text, Name: "link", Label: "Your private link", Value: typed, Required: true,
			Hint: "The whole address, or just the part behind /o/.", Error: wrong.of("link"), Autocomplete: "off"},
	})
}

var tokenAtEnd = regexp.MustCompile(`(?:^|/o/)([A-Za-z0-9_-]{22,64})(?:/slip)?/?$`)

type whereForm struct {
	Link string `form:"link"`
}

// follow leads to the order of a typed link.
func (p trackingPages) follow(c echo.Context) error {
	var form whereForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	found := tokenAtEnd.FindStringSubmatch(strings.TrimSpace(form.Link))
	if found == nil {
		return p.askLink(c, http.StatusUnprocessableEntity, form.Link, "that is no private link; it ends in /o/ and at least 22 letters and digits")
	}
	order, err := p.services.Orders.OrderByToken(c.Request().Context(), found[1])
	if jobs.CodeOf(err) == jobs.NotFound {
		return p.askLink(c, http.StatusNotFound, form.Link, "this link leads to no order; check that it was copied whole")
	}
	if err != nil {
		return err
	}
	return c.Redirect(http.StatusSeeOther, orderPath(order))
}
