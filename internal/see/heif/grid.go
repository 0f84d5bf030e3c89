package heif

import "encoding/binary"

// A grid is a picture that phones write in tiles (ISO/IEC 23008-12, 6.6.2.3).
type grid struct {
	columns, rows int
	width, height int      // of the whole before it is turned
	quarters      int      // turns by 90° anticlockwise
	tiles         [][]byte // streams of NAL units, each behind its length in 4 bytes, row by row
	colours       bool     // the file says that they are those of a JPEG
}

// gridOf reads how the main picture is put together. It is nil for what is no grid,
// or more than the plain one that phones write; libheif sees to those as a whole.
func gridOf(data []byte) *grid {
	meta := fullBox(child(data, "meta"))
	primary, ok := number16(fullBox(child(meta, "pitm")), 0)
	if !ok {
		return nil
	}
	p := properties(child(meta, "iprp"))
	g := &grid{}
	if !g.laid(item(data, meta, primary)) || !g.described(p.of(primary), "irot") {
		return nil
	}
	for _, id := range derived(fullBox(child(meta, "iref")), primary) {
		of := p.of(id)
		stream, ok := stream(of.body("hvcC"), item(data, meta, id))
		if !ok || !g.described(of, "hvcC") {
			return nil
		}
		g.tiles = append(g.tiles, stream)
	}
	if len(g.tiles) == 0 || len(g.tiles) != g.columns*g.rows {
		return nil
	}
	return g
}

// laid reads the grid's own item.
func (g *grid) laid(body []byte) bool {
	if len(body) < 8 || body[0] != 0 || body[1] != 0 { // sizes in 16 bits
		return false
	}
	g.rows, g.columns = int(body[2])+1, int(body[3])+1
	g.width, g.height = int(binary.BigEndian.Uint16(body[4:])), int(binary.BigEndian.Uint16(body[6:]))
	return g.width > 0 && g.height > 0
}

// described reads a picture's properties; one beside the usual and those allowed makes
// it no plain grid.
func (g *grid) described(of propertyList, allowed string) bool {
	for _, p := range of {
		switch {
		case p.kind == "irot" && allowed == "irot" && len(p.body) > 0 && g.quarters == 0:
			g.quarters = int(p.body[0] & 3)
		case p.kind == "colr" && len(p.body) >= 11 && string(p.body[:4]) == "nclx":
			matrix, _ := number16(p.body, 8)
			if !asJPEG(int(matrix), p.body[10]>>7 == 1) {
				return false
			}
			g.colours = true
		case p.kind == "ispe", p.kind == "pixi", p.kind == "colr", p.kind == "hvcC" && allowed == "hvcC":
		default:
			return false
		}
	}
	return true
}

// asJPEG reports whether colours are coded as in a JPEG: over the full range, by the
// matrix of BT.601 or one that is not told (ISO/IEC 23091-2).
func asJPEG(matrix int, fullRange bool) bool {
	return fullRange && (matrix == 2 || matrix == 5 || matrix == 6)
}

// stream is what a decoder is given of a tile: parameter sets, from its configuration
// (ISO/IEC 14496-15, 8.3.3.1), and slices. It must be of 8 bits with chroma halved.
func stream(config, slices []byte) (out []byte, ok bool) {
	if len(config) < 23 || len(slices) == 0 || config[16]&3 != 1 || config[17]&7 != 0 || config[18]&7 != 0 || config[21]&3 != 3 {
		return nil, false
	}
	rest := config[23:]
	for arrays := int(config[22]); arrays > 0; arrays-- {
		n, ok := number16(rest, 1)
		if !ok {
			return nil, false
		}
		rest = rest[3:]
		for ; n > 0; n-- {
			size, ok := number16(rest, 0)
			if !ok || len(rest) < 2+int(size) {
				return nil, false
			}
			out = append(binary.BigEndian.AppendUint32(out, uint32(size)), rest[2:2+int(size)]...)
			rest = rest[2+int(size):]
		}
	}
	return append(out, slices...), true
}

// property is one of a picture.
type property struct {
	kind string
	body []byte
}

type propertyList []property

// body is that of the first of a kind.
func (l propertyList) body(kind string) []byte {
	for _, p := range l {
		if p.kind == kind {
			return p.body
		}
	}
	return nil
}

// propertyTable is all properties and which item has which.
type propertyTable struct {
	all  propertyList
	ipma []byte
}

func properties(iprp []byte) propertyTable {
	t := propertyTable{ipma: child(iprp, "ipma")}
	eachBox(child(iprp, "ipco"), func(kind string, body []byte) bool {
		t.all = append(t.all, property{kind, body})
		return true
	})
	return t
}

// of are an item's properties; one that is not there is of no kind.
func (t propertyTable) of(id uint16) (out propertyList) {
	for _, i := range associated(t.ipma, id) {
		p := property{}
		if i >= 1 && i <= len(t.all) {
			p = t.all[i-1]
		}
		out = append(out, p)
	}
	return out
}

// associated are the numbers, from 1, of an item's properties.
func associated(ipma []byte, id uint16) (out []int) {
	if len(ipma) < 8 || ipma[0] != 0 { // IDs in 16 bits
		return nil
	}
	wide, rest := ipma[3]&1 == 1, ipma[8:]
	for len(rest) >= 3 {
		of, n := binary.BigEndian.Uint16(rest), int(rest[2])
		rest = rest[3:]
		for ; n > 0; n-- {
			var i int
			switch {
			case wide && len(rest) >= 2:
				i, rest = int(binary.BigEndian.Uint16(rest)&0x7fff), rest[2:]
			case !wide && len(rest) >= 1:
				i, rest = int(rest[0]&0x7f), rest[1:]
			default:
				return out
			}
			if of == id {
				out = append(out, i)
			}
		}
	}
	return out
}

// derived are the items that one is made from, where IDs have 16 bits.
func derived(iref []byte, id uint16) (out []uint16) {
	eachBox(iref, func(kind string, body []byte) bool {
		from, ok := number16(body, 0)
		n, _ := number16(body, 2)
		if kind != "dimg" || !ok || from != id || len(body) < 4+2*int(n) {
			return true
		}
		for i := range int(n) {
			to, _ := number16(body, 4+2*i)
			out = append(out, to)
		}
		return false
	})
	return out
}

// item is an item's body where it lies in one piece, in the file or beside the list
// (ISO/IEC 14496-12, 8.11.3).
func item(data, meta []byte, id uint16) []byte {
	iloc := child(meta, "iloc")
	if len(iloc) < 8 || iloc[0] > 1 || iloc[4] != 0x44 || iloc[5]>>4 != 0 || iloc[5]&15 != 0 {
		return nil // offsets and lengths in 32 bits
	}
	rest := iloc[8:]
	for n := int(binary.BigEndian.Uint16(iloc[6:])); n > 0; n-- {
		head, place := 6, 0
		if iloc[0] == 1 {
			head = 8
		}
		if len(rest) < head {
			return nil
		}
		if head == 8 {
			place = int(rest[3] & 15)
		}
		of, extents := binary.BigEndian.Uint16(rest), int(binary.BigEndian.Uint16(rest[head-2:]))
		rest = rest[head:]
		if len(rest) < 8*extents {
			return nil
		}
		if of == id && extents == 1 {
			at, size := int64(binary.BigEndian.Uint32(rest)), int64(binary.BigEndian.Uint32(rest[4:]))
			from := data
			if place == 1 {
				from = child(meta, "idat")
			}
			if place > 1 || at+size > int64(len(from)) {
				return nil
			}
			return from[at : at+size]
		}
		rest = rest[8*extents:]
	}
	return nil
}

// eachBox calls f with the boxes in a row, until it says no (ISO/IEC 14496-12, 4.2).
func eachBox(data []byte, f func(kind string, body []byte) bool) {
	for len(data) >= 8 {
		size := int64(binary.BigEndian.Uint32(data))
		if size < 8 || size > int64(len(data)) {
			return // of no size or a long one: the last, or of pixels
		}
		if !f(string(data[4:8]), data[8:size]) {
			return
		}
		data = data[size:]
	}
}

// child is the body of the first box of a kind, nil when there is none.
func child(data []byte, kind string) (out []byte) {
	eachBox(data, func(k string, body []byte) bool {
		if k == kind {
			out = body
		}
		return k != kind
	})
	return out
}

// fullBox is a box behind its version and flags; nil unless the version is 0.
func fullBox(body []byte) []byte {
	if len(body) < 4 || body[0] != 0 {
		return nil
	}
	return body[4:]
}

func number16(data []byte, at int) (uint16, bool) {
	if len(data) < at+2 {
		return 0, false
	}
	return binary.BigEndian.Uint16(data[at:]), true
}
