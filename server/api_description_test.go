package server_test

import (
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server"
	"wetside/server/api"
)

func TestTheDescriptionIsServed(t *testing.T) {
	t.Parallel()
	l := open(t)
	got := l.caller(t).send(http.MethodGet, "/openapi.yaml", "").status(http.StatusOK)
	if got.body != string(api.Description) || got.Header.Get("Content-Type") != "application/yaml" {
		t.Errorf("%s, %d bytes, want the %d of openapi.yaml", got.Header.Get("Content-Type"), len(got.body), len(api.Description))
	}
}

// operation is one operation of the description.
type operation struct {
	method, path string
	what         map[string]any
}

func operations(t *testing.T) []operation {
	t.Helper()
	var all []operation
	for path, methods := range readYAML(t, api.Description)["paths"].(map[string]any) {
		for method, what := range methods.(map[string]any) {
			all = append(all, operation{strings.ToUpper(method), path, what.(map[string]any)})
		}
	}
	if len(all) < 50 {
		t.Fatalf("%d operations are described", len(all))
	}
	return all
}

// Every operation stands in the access table as it is described, and nothing
// else of the API does.
func TestEveryOperationIsInTheAccessTable(t *testing.T) {
	t.Parallel()
	made, err := server.New(server.Services{}, server.Options{})
	if err != nil {
		t.Fatal(err)
	}
	table := map[string]string{}
	for _, route := range made.Routes() {
		if path, ok := strings.CutPrefix(route.Path, "/api/v1"); ok {
			table[route.Method+" "+path] = string(route.Access)
		}
	}
	described := map[string]string{}
	for _, o := range operations(t) {
		access := yamlText(o.what, "x-access")
		described[o.method+" "+strings.NewReplacer("{", ":", "}", "").Replace(o.path)] = access
		_, open := o.what["security"]
		if open != (access == string(server.Public) || access == string(server.PrivateLink)) {
			t.Errorf("%s %s: x-access is %q, and security says otherwise", o.method, o.path, access)
		}
	}
	if diff := cmp.Diff(described, table); diff != "" {
		t.Errorf("described and in the table:\n%s", diff)
	}
}

// Numbers in addresses are read with words of ours about what is wrong.
func TestEveryNumberInAnAddressIsChecked(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.signedIn(t, "Wren")
	description := readYAML(t, api.Description)
	asked := 0
	for _, o := range operations(t) {
		parameters, _ := o.what["parameters"].([]any)
		for _, parameter := range parameters {
			parameter = resolved(description, parameter)
			name, kind := yamlText(parameter, "name"), yamlText(resolved(description, yamlAt(parameter, "schema")), "type")
			switch where := yamlText(parameter, "in"); {
			case kind != "integer" && kind != "boolean":
				continue
			case where == "path":
				c.refused(o.method, strings.ReplaceAll(o.path, "{"+name+"}", "abc"), "", http.StatusNotFound, jobs.NotFound, "", "abc")
			default:
				c.refused(o.method, o.path+"?"+name+"=abc", "", http.StatusUnprocessableEntity, jobs.Invalid, name, "abc")
			}
			asked++
		}
	}
	if asked < 30 {
		t.Errorf("%d numbers were found", asked)
	}
}

// resolved follows a reference inside the description.
func resolved(description map[string]any, in any) any {
	if to := yamlText(in, "$ref"); to != "" {
		return yamlAt(description, strings.Split(strings.TrimPrefix(to, "#/"), "/")...)
	}
	return in
}

// The words of the trade are those of the packages below.
func TestTheDescriptionKnowsEveryWord(t *testing.T) {
	t.Parallel()
	schemas := yamlAt(readYAML(t, api.Description), "components", "schemas")
	for name, want := range map[string][]string{
		"Process":     texts(chemistry.Processes),
		"Format":      texts(chemistry.Formats),
		"Light":       texts(chemistry.Lights),
		"Family":      texts(chemistry.SolutionFamilies),
		"Use":         texts(chemistry.UseModes),
		"RollState":   texts(jobs.RollStates),
		"Kind":        texts([]chemistry.Kind{chemistry.ColourNegative, chemistry.Reversal, chemistry.BlackAndWhite, chemistry.Chromogenic}),
		"Balance":     texts([]chemistry.Balance{chemistry.Daylight, chemistry.Tungsten, chemistry.Panchromatic, chemistry.Orthochromatic}),
		"Return":      texts([]jobs.Return{jobs.Collect, jobs.Post}),
		"Preparation": texts(jobs.Preparations),
		"Unit":        texts(jobs.Units),
		"WasteKind":   texts(chemistry.WasteKinds),
		"Storage":     texts(chemistry.Storages),
		"Role":        texts([]jobs.Role{jobs.Staff, jobs.Owner}),
		"CauseKind":   texts(jobs.CauseKinds),

		"InspectionOutcome": texts(jobs.Outcomes),
	} {
		if diff := cmp.Diff(want, allowed(yamlAt(schemas, name))); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
	}
}

func texts[T ~string](values []T) []string {
	var plain []string
	for _, value := range values {
		plain = append(plain, string(value))
	}
	return plain
}

// allowed are the words that a schema allows.
func allowed(schema any) []string {
	var words []string
	for _, word := range yamlAt(schema, "enum").([]any) {
		words = append(words, word.(string))
	}
	return words
}

// A limit is described as it is checked: the tags are what is enforced, the
// schema is what people read.
func TestSchemasAndTagsAgree(t *testing.T) {
	t.Parallel()
	description := readYAML(t, api.Description)
	checked := 0
	compare := func(name string, in any) {
		tag := yamlText(in, "x-oapi-codegen-extra-tags", "validate")
		if tag == "" {
			return
		}
		checked++
		own := maps.Clone(in.(map[string]any))
		schema := resolved(description, in)
		if inner := yamlAt(in, "schema"); inner != nil { // a parameter
			schema, own = resolved(description, inner), inner.(map[string]any)
		}
		for _, fault := range disagreements(tag, schema, own) {
			t.Errorf("%s: %s", name, fault)
		}
	}
	for name, schema := range yamlAt(description, "components", "schemas").(map[string]any) {
		properties, _ := yamlAt(schema, "properties").(map[string]any)
		for field, property := range properties {
			compare(name+"."+field, property)
		}
	}
	for name, parameter := range yamlAt(description, "components", "parameters").(map[string]any) {
		compare(name, parameter)
	}
	if checked < 80 {
		t.Errorf("%d tags were found", checked)
	}
}

// disagreements compares the limits of a schema with those of a tag.
func disagreements(tag string, schema any, own map[string]any) []string {
	tag, _, _ = strings.Cut(tag, ",dive")
	limits := map[string]string{}
	for rule := range strings.SplitSeq(tag, ",") {
		name, value, _ := strings.Cut(rule, "=")
		limits[name] = value
	}
	kind := yamlText(schema, "type")
	least, most := "minimum", "maximum"
	switch kind {
	case "string":
		least, most = "minLength", "maxLength"
	case "array":
		least, most = "minItems", "maxItems"
	}
	var faults []string
	differ := func(what, described, enforced string) {
		if described != enforced {
			faults = append(faults, fmt.Sprintf("%s is described as %q and enforced as %q", what, described, enforced))
		}
	}
	differ(most, yamlText(schema, most), limits["max"])
	if _, required := limits["required"]; kind == "string" && required && limits["min"] == "" && yamlAt(own, "maxLength") != nil {
		differ(least, yamlText(schema, least), "1")
	} else {
		differ(least, yamlText(schema, least), limits["min"])
	}
	if enforced, ok := limits["oneof"]; ok {
		for word := range strings.SplitSeq(enforced, " ") {
			if !slices.Contains(allowed(schema), word) {
				faults = append(faults, fmt.Sprintf("%q is enforced and not described", word))
			}
		}
	}
	return faults
}
