package server

import (
	"errors"
	"io"
	"mime"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"
)

// sentParts reads a form that may bring a file, each field by its name.
func sentParts(c echo.Context) (map[string]string, error) {
	kind, _, err := mime.ParseMediaType(c.Request().Header.Get(echo.HeaderContentType))
	if err != nil || kind != echo.MIMEMultipartForm {
		err := readForm(c, &struct{}{})
		return firstValues(c.Request().PostForm), err
	}
	parts, err := c.Request().MultipartReader()
	if err != nil {
		return nil, echo.NewHTTPError(http.StatusBadRequest, "The form cannot be read.").SetInternal(err)
	}
	sent := map[string]string{}
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return sent, nil
		}
		if err != nil {
			return nil, unreadable(err)
		}
		text, err := io.ReadAll(part)
		if err != nil {
			return nil, unreadable(err)
		}
		sent[part.FormName()] = string(text)
	}
}

// sentFile returns the text of the file that a form brings, or what was pasted
// instead.
func sentFile(sent map[string]string) string {
	if strings.TrimSpace(sent["file"]) != "" {
		return sent["file"]
	}
	return sent["csv"]
}

// unreadable is what a broken form is answered with; one that is too large has
// words of its own.
func unreadable(err error) error {
	if errors.As(err, new(*echo.HTTPError)) {
		return err
	}
	return echo.NewHTTPError(http.StatusBadRequest, "The form cannot be read.").SetInternal(err)
}
