package page

import "container/list"

// cache keeps the values that were used last, up to a number and a sum of sizes. The
// one used last of all is kept whatever its size, so that what has just been made can be
// fetched once. It is not safe for several goroutines.
type cache[K comparable, V any] struct {
	most, bytes int // bounds
	size        int // of what is kept, bytes
	order       list.List
	entries     map[K]*list.Element
}

type entry[K comparable, V any] struct {
	key   K
	value V
	size  int
}

func newCache[K comparable, V any](most, bytes int) *cache[K, V] {
	return &cache[K, V]{most: most, bytes: bytes, entries: map[K]*list.Element{}}
}

// get gives a value and counts as its use.
func (c *cache[K, V]) get(key K) (value V, ok bool) {
	e, ok := c.entries[key]
	if !ok {
		return value, false
	}
	c.order.MoveToFront(e)
	return e.Value.(*entry[K, V]).value, true
}

// put keeps a value of so many bytes, in place of one of the same key, and drops those that
// have not been used for the longest time.
func (c *cache[K, V]) put(key K, value V, size int) {
	c.drop(key)
	c.entries[key] = c.order.PushFront(&entry[K, V]{key, value, size})
	c.size += size
	for c.order.Len() > 1 && (c.order.Len() > c.most || c.size > c.bytes) {
		c.drop(c.order.Back().Value.(*entry[K, V]).key)
	}
}

func (c *cache[K, V]) drop(key K) {
	if e, ok := c.entries[key]; ok {
		c.order.Remove(e)
		delete(c.entries, key)
		c.size -= e.Value.(*entry[K, V]).size
	}
}
