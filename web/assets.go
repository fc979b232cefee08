package web

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"mime"
	"path"
	"strings"
)

//go:embed style scripts marks
var assetFiles embed.FS

// AssetPrefix begins the address of every asset.
const AssetPrefix = "/assets/"

// Asset is one file as it is sent. Its address carries a checksum of its
// content, so that it can be kept for good.
type Asset struct {
	Type    string
	Content []byte
}

// Assets holds every asset by its address and knows each address by name.
type Assets struct {
	byPath map[string]Asset
	paths  map[string]string
}

// readAssets reads scripts and marks one by one; the style sheets become one
// file, in the order of their names.
func readAssets() (*Assets, error) {
	a := &Assets{map[string]Asset{}, map[string]string{}}
	sheets, err := fs.Glob(assetFiles, "style/*.css")
	if err != nil {
		return nil, err
	}
	var style bytes.Buffer
	for _, sheet := range sheets {
		content, err := assetFiles.ReadFile(sheet)
		if err != nil {
			return nil, err
		}
		style.Write(content)
	}
	a.add("style.css", style.Bytes())
	for _, pattern := range []string{"scripts/*.js", "marks/*.svg"} {
		files, err := fs.Glob(assetFiles, pattern)
		if err != nil {
			return nil, err
		}
		for _, file := range files {
			content, err := assetFiles.ReadFile(file)
			if err != nil {
				return nil, err
			}
			a.add(path.Base(file), content)
		}
	}
	return a, nil
}

func (a *Assets) add(name string, content []byte) {
	sum := sha256.Sum256(content)
	extension := path.Ext(name)
	address := AssetPrefix + strings.TrimSuffix(name, extension) + "." + hex.EncodeToString(sum[:6]) + extension
	a.paths[name] = address
	a.byPath[address] = Asset{mime.TypeByExtension(extension), content}
}

// Path returns the address of an asset; an unknown name is an error, which
// keeps a page from being shown without its script.
func (a *Assets) Path(name string) (string, error) {
	address, ok := a.paths[name]
	if !ok {
		return "", fmt.Errorf("there is no asset %q", name)
	}
	return address, nil
}

// At returns the asset at an address.
func (a *Assets) At(address string) (Asset, bool) {
	asset, ok := a.byPath[address]
	return asset, ok
}
