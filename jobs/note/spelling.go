package note

import "slices"

// mended are slips of the pen that are too far from the word, or too near to
// another one, for misspelt to find.
var mended = map[string]string{
	"sht": "shot", "shto": "shot", "hsot": "shot", "shott": "shot", "shoot": "shot", "shhot": "shot", "sjot": "shot",
	"tow": "two", "twoo": "two", "oen": "one", "onr": "one", "thre": "three", "hlaf": "half", "haf": "half",
	"sto": "stop", "stosp": "stops", "stopps": "stops", "bxo": "box", "boxx": "box",
	"dotn": "dont", "donot": "dont", "nto": "not", "cudnt": "couldnt", "ios": "iso", "psuh": "push", "puhs": "push",
	"raited": "rated", "ratd": "rated", "shoted": "shot", "sped": "speed", "spd": "speed",
	"wld": "would", "cld": "could", "cam": "camera",
}

// targets are the words worth mending: a request turns on them.
var targets = []string{
	"push", "pushed", "pushing", "pull", "pulled", "pulling", "stop", "stops", "rated", "metered", "exposed",
	"develop", "developed", "development", "developing", "process", "processed", "processing", "normal", "normally",
	"standard", "underexposed", "overexposed", "underexpose", "overexpose", "compensate", "accordingly", "maybe",
	"perhaps", "probably", "speed", "scan", "instead", "half", "please",
}

// lookalikes are words of their own that are one slip away from a target.
var lookalikes = wordSet("rush bush hush gush lush mush posh pus puss pushy pash plush pushup push-up puts pugh rushed " +
	"bushed hushed gushed rushing brushing hushing pushes full bull dull hull lull null gull mull cull poll pill pall pulp " +
	"pulse puller pulls filled killed rolled polled culled mulled billed lulled dulled filling rolling polling culling " +
	"shop step steps stoop top tops stow atop slop stomp strop crop chop drop prop flop swop shops crops chops drops stows " +
	"dated hated rates rate mated rate rater grated crated prated rated fated sated gated meter meters " +
	"envelop develops developer processor possess progress formal normals scam scans can span swan scar skin seen sean " +
	"hal calf hall halo hale halt harf haul bulls bells falls puled spend seed steed spied sped speedy speeds steep " +
	"mayb stop's stock stocks stood expose exposer composed imposed opposed expired explored expressed peas lease pleased " +
	"pleases place praise spell spill pell toll")

func wordSet(words string) map[string]bool {
	set := map[string]bool{}
	start := 0
	for i := 0; i <= len(words); i++ {
		if i == len(words) || words[i] == ' ' {
			set[words[start:i]] = true
			start = i + 1
		}
	}
	return set
}

// mend returns the word that was meant.
func mend(word string) string {
	if meant, ok := mended[word]; ok {
		return meant
	}
	if _, known := lexicon[word]; known || len(word) < 3 || len(word) > 20 || lookalikes[word] || numberWords[word] != 0 {
		return word
	}
	for _, target := range targets {
		allowed := 1
		if len(target) >= 9 {
			allowed = 2
		}
		if len(word) >= len(target)-allowed && distance(word, target) <= allowed {
			return target
		}
	}
	return word
}

// distance counts the letters left out, put in, exchanged or swapped with their
// neighbour between two words (optimal string alignment).
func distance(a, b string) int {
	from, to := []rune(a), []rune(b)
	rows := make([][]int, len(from)+1)
	for i := range rows {
		rows[i] = make([]int, len(to)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(from); i++ {
		for j := 1; j <= len(to); j++ {
			cost := 1
			if from[i-1] == to[j-1] {
				cost = 0
			}
			rows[i][j] = slices.Min([]int{rows[i-1][j] + 1, rows[i][j-1] + 1, rows[i-1][j-1] + cost})
			if i > 1 && j > 1 && from[i-1] == to[j-2] && from[i-2] == to[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(from)][len(to)]
}
