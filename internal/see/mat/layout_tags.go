package mat

// tag36h11 holds the first codewords of the AprilTag family 36h11, indexed by
// tag id, most significant bit first in the order of moduleOf. They were read
// from libapriltag 3.3.0 (Debian 12, tag36h11.c).
//
// Copyright (C) 2013-2016, The Regents of The University of Michigan. This
// software was developed in the APRIL Robotics Lab under the direction of Edwin
// Olson, ebolson@umich.edu. BSD 2-Clause: redistribution in source and binary
// forms, with or without modification, is permitted provided that source keeps,
// and documentation of binaries reproduces, the copyright notice, this list of
// conditions and the following disclaimer. THIS SOFTWARE IS PROVIDED BY THE
// COPYRIGHT HOLDERS AND CONTRIBUTORS "AS IS" AND ANY EXPRESS OR IMPLIED
// WARRANTIES, INCLUDING, BUT NOT LIMITED TO, THE IMPLIED WARRANTIES OF
// MERCHANTABILITY AND FITNESS FOR A PARTICULAR PURPOSE ARE DISCLAIMED. IN NO
// EVENT SHALL THE COPYRIGHT OWNER OR CONTRIBUTORS BE LIABLE FOR ANY DIRECT,
// INDIRECT, INCIDENTAL, SPECIAL, EXEMPLARY, OR CONSEQUENTIAL DAMAGES.
var tag36h11 = [...]uint64{
	0xd7e00984b, 0xdda664ca7, 0xdc4a1c821, 0xe17b470e9, 0xef91d01b1, 0xf429cdd73,
	0x05da29225, 0x1106cba43, 0x223bed79d, 0x21f51213c, 0x33eb19ca6, 0x3f76eb0f8,
	0x469a97414, 0x45dcfe0b0, 0x4a6465f72, 0x51801db96, 0x5eb946b4e, 0x68a7cc2ec,
	0x6f0ba2652, 0x78765559d, 0x87b83d129, 0x86cc4a5c5, 0x8b64df90f, 0x9c577b611,
	0xa3810f2f5, 0xaf4d75b83, 0xb59a03fef, 0xbb1096f85, 0xd1b92fc76, 0xd0dd509d2,
	0xe2cfda160, 0x2ff497c63, 0x47240671b, 0x5047a2e55, 0x635ca87c7, 0x691254166,
	0x68f43d94a, 0x6ef24bdb6, 0x8cdd8f886, 0x9de96b718, 0xaff6e5a8a, 0xbae46f029,
	0xd225b6d59, 0xdf8ba8c01, 0xe3744a22f, 0xfbb59375d, 0x18a916828, 0x22f29c1ba,
	0x286887d58, 0x41392322e, 0x75d18ecd1, 0x87c302743, 0x8c6317ba9, 0x9e40f36d7,
	0xc0e5a806a, 0xcc78cb87c, 0x12d2f2d01, 0x379f36a21, 0x6973f59ac, 0x7789ea9f4,
	0x8f1c73e84, 0x8dd287a20, 0x94a4eee4c, 0xa455379b5, 0xa9e92987d, 0xbd25cb40b,
	0xbe98d3582, 0xd3d5972b2, 0x14c53d7c7, 0x4f1796936, 0x4e71fed1a, 0x66d46fae0,
	0xa55abb933, 0xebee1acca, 0x1ad4ba6a4, 0x305b17571, 0x553611351, 0x59ca62775,
	0x7819cb6a1, 0xedb7bc9eb, 0x5b2694212, 0x72e12d185, 0xed6152e2c, 0x5bcdadbf3,
	0x78e0aa0c6, 0xc60a0b909, 0xef9a34b0d, 0x398a6621a, 0xa8a27c944, 0x4b564304e,
	0x52902b4e2, 0x857280b56, 0xa91b2c84b, 0xe91df939b, 0x1fa405f28, 0x23793ab86,
	0x68c17729f, 0x9fbf3b840, 0x36922413c, 0x4eb5f946e, 0x533fe2404, 0x63de7d35e,
	0x925eddc72, 0x99b8b3896, 0xaace4c708, 0xc22994af0, 0x8f1eae41b, 0xd95fb486c,
	0x13fb77857, 0x4fe0983a3, 0xd559bf8a9, 0xe1855d78d, 0xfec8daaad, 0x71ecb6d95,
	0xdc9e50e4c, 0xca3a4c259, 0x740d12bbf, 0xaeedd18e0, 0xb509b9c8e, 0x5232fea1c,
	0x19282d18b, 0x76c22d67b, 0x936beb34b, 0x08a5ea8dd, 0x679eadc28, 0xa08e119c5,
	0x20a6e3e24, 0x7eab9c239, 0x96632c32e, 0x470d06e44, 0x8a70212fb, 0x0a7e4251b,
	0x9ec762cc0, 0xd8a3a1f48, 0xdb680f346, 0x4a1e93a9d, 0x638ddc04f, 0x4c2fcc993,
	0x01ef28c95, 0xbf0d9792d, 0x6d27557c3, 0x623f977f4, 0x35b43be57, 0xbb0c428d5,
	0xa6f01474d, 0x5a70c9749, 0x20ddabc3b, 0x2eabd78cf, 0x90aa18f88, 0xa9ea89350,
	0x3cdb39b22, 0x839a08f34, 0x169bb814e, 0x1a575ab08, 0xa04d3d5a2, 0xbf7902f2b,
	0x095a5e65c, 0x92e8fce94, 0x67ef48d12, 0x6400dbcac, 0xb12d8fb9f, 0x0347f45d3,
	0xb35826f56, 0xc546ac6e4, 0x81cc35b66, 0x41d14bd57, 0x0c052b168, 0x7d6ce5018,
	0xab4ed5ede, 0x5af817119, 0xd1454b182, 0x2badb090b, 0x03fcb4c0c, 0x2f1c28fd8,
	0x93608c6f7, 0x4c93ba2b5, 0x07d950a5d, 0xe54b3d3fc, 0x15560cf9d, 0x189e4958a,
	0x62140e9d2, 0x723bc1cdb, 0x2063f26fa, 0xfa08ab19f, 0x7955641db, 0x646b01daa,
	0x71cd427cc, 0x09a42f7d4, 0x717edc643, 0x15eb94367, 0x8392e6bb2, 0x832408542,
	0x2b9b874be, 0xb21f4730d, 0xb5d8f24c9, 0x7dbaf6931, 0x1b4e33629, 0x13452e710,
	0xe974af612, 0x1df61d29a, 0x99f2532ad, 0xe50ec71b4, 0x5df0a36e8, 0x4934e4cea,
	0xe34a0b4bd, 0xb7b26b588, 0x0f255118d, 0xd0c8fa31e, 0x06a50c94f, 0xf28aa9f06,
	0x131d194d8, 0x622e3da79, 0xac7478303, 0xc8f2521d7, 0x6c9c881f5, 0x49e38b60a,
	0x513d8df65, 0xd7c2b0785, 0x9f6f9d75a, 0x9f6966020, 0x1e1a54e33, 0xc04d63419,
	0x946e04cd7, 0x1bdac5902, 0x56469b830, 0xffad59569, 0x86970e7d8, 0x8a4b41e12,
	0xad4688e3b, 0x85f8f5df4, 0xd833a0893, 0x2a36fdd7c, 0xd6a857cf2, 0x8829bc35c,
	0x5e50d79bc, 0xfbb8035e4, 0xc1a95bebf, 0x036b0baf8, 0xe0da964ea, 0xb6483689b,
	0x7c8e2f4c1, 0x5b856a23b, 0x2fc183995, 0xe914b6d70, 0xb31041969, 0x1bb478493,
	0x063e2b456, 0xf2a082b9c, 0x8e5e646ea, 0x08172f8f6, 0x0dacd923e, 0xe5dcf0e2e,
	0xbf9446bae, 0x4822d50d1, 0x26e710bf5, 0xb90ba2a24, 0xf3b25aa73, 0x809ad589b,
	0x94cc1e254, 0x5334a3adb, 0x592886b2f, 0xbf64704aa, 0x566dbf24c, 0x72203e692,
	0x64e61e809, 0xd7259aad6, 0x7b924aedc, 0x2df2184e8, 0x353d1eca7, 0xfce30d7ce,
	0xf7b0f436e, 0x57e8d8f68, 0x8c79e60db, 0x9c8362b2b, 0x63a5804f2, 0x9298353dc,
}

// firstQuarter lists the column and row of the first nine of the 36 data
// modules; each further nine are the same turned a quarter clockwise.
var firstQuarter = [9][2]int{{1, 1}, {2, 1}, {3, 1}, {4, 1}, {5, 1}, {2, 2}, {3, 2}, {4, 2}, {3, 3}}

// moduleOf returns the column and row, in the 8 x 8 modules of a tag, of bit i
// of its codeword, counted from the most significant of 36.
func moduleOf(i int) (col, row int) {
	p := firstQuarter[i%9]
	for range i / 9 {
		p = [2]int{tagModules - 1 - p[1], p[0]}
	}
	return p[0], p[1]
}

// modules draws a tag: rows from the top, '1' is white, the black border
// included.
func modules(id int) [tagModules]string {
	var grid [tagModules][tagModules]byte
	for r := range grid {
		for c := range grid[r] {
			grid[r][c] = '0'
		}
	}
	for i := range 36 {
		c, r := moduleOf(i)
		grid[r][c] = '0' + byte(tag36h11[id]>>(35-i)&1)
	}
	var rows [tagModules]string
	for r := range grid {
		rows[r] = string(grid[r][:])
	}
	return rows
}
