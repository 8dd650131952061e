package page

import (
	"errors"
	"strings"
	"testing"
)

// reader gives modules from memory.
func reader(modules map[string]string) func(string) ([]byte, error) {
	return func(name string) ([]byte, error) {
		if text, ok := modules[name]; ok {
			return []byte(text), nil
		}
		return nil, errors.New("there is no " + name)
	}
}

// Each module stands once, in a function of its own, after all that it imports.
func TestModulesAreJoined(t *testing.T) {
	got, err := bundle("a", reader(map[string]string{
		"a.js": "// first\nimport { one, two as zwei } from \"./b.js\";\nimport * as c from \"./c.js\";\nimport {\n  three,\n} from \"./c.js\";\nshow(one, zwei, c, three);\n",
		"b.js": "import { three } from \"./c.js\";\nexport const one = 1;\nexport async function two() {\n  return three;\n}\n",
		"c.js": "export class three {}\n",
	}))
	const want = `const $c = (() => {
class three {}
return { three };
})();
const $b = (() => {
const { three } = $c;
const one = 1;
async function two() {
  return three;
}
return { one, two };
})();
const $a = (() => {
// first
const { one, two: zwei } = $b;
const c = $c;
const { three } = $c;
show(one, zwei, c, three);
return {  };
})();
`
	if string(got) != want || err != nil {
		t.Errorf("%v\n%s", err, got)
	}
}

// What would mean something else when it is joined is refused.
func TestOtherImportsAreRefused(t *testing.T) {
	for text, want := range map[string]string{
		`import "./b.js";`:                         "not joined",
		`import b from "./b.js";`:                  "not joined",
		`import { x } from "https://b.test/b.js";`: "not joined",
		`import { x } from "../b.js";`:             "not joined",
		`import { y } from "./b.js";`:              "does not export y",
		`import { x-y } from "./b.js";`:            "no name",
		`import { x } from "./d.js";`:              "there is no d.js",
		`import { z } from "./a.js";`:              "imports itself",
		`export default 1;`:                        "not joined",
		`export { x };`:                            "not joined",
		`export let x = 1;`:                        "not joined",
		`export * from "./b.js";`:                  "not joined",
		`export const { x } = 1;`:                  "not joined",
		`  x = await import("./b.js");`:            "within the text",
		`const at = import.meta.url;`:              "within the text",
	} {
		_, err := bundle("a", reader(map[string]string{"a.js": text + "\n", "b.js": "export const x = 1;\n"}))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
	}
}

// All modules that are embedded can be joined, and every one belongs to a page.
func TestEmbeddedModulesAreJoined(t *testing.T) {
	assets := loadAssets()
	for name := range assets {
		module, script := strings.CutSuffix(name, ".js")
		if !script || strings.HasSuffix(module, bundled) {
			continue
		}
		used := 0
		for _, entry := range entries {
			used += strings.Count(string(assets[entry+bundled+".js"].body), "const $"+module+" = ")
		}
		if used == 0 {
			t.Errorf("%s is used by no page", name)
		}
	}
}
