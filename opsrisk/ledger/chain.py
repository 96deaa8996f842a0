"""The Merkle tree over the log's entries (RFC 6962, section 2.1): root, inclusion and consistency proofs.

Standard library only, so that an auditor can read this one file and run it alone on an export, one entry's
canonical JSON a line: `python chain.py < entries.jsonl` prints how many entries there are and the root over them.
The verifier of archives has the same tree a second time on purpose, since it stands alone; the test
`test_its_tree_is_the_logs_tree` holds the two equal.
"""

import hashlib
import sys
from collections.abc import Sequence

EMPTY_ROOT = hashlib.sha256(b"").digest()


def leaf_hash(entry: bytes) -> bytes:
    """Hash of one entry. The 0x00 keeps an entry from ever passing for an inner node."""
    return hashlib.sha256(b"\x00" + entry).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    return hashlib.sha256(b"\x01" + left + right).digest()


def _split(size: int) -> int:
    """The largest power of two smaller than `size`: how many leaves go left."""
    return 1 << (size - 1).bit_length() - 1


def root(leaves: Sequence[bytes]) -> bytes:
    """The root over leaf hashes; the last node of an odd row is carried up, never doubled."""
    peaks: list[tuple[int, bytes]] = []
    for leaf in leaves:
        peaks = grow(peaks, leaf)
    return root_of(peaks)


def grow(peaks: Sequence[tuple[int, bytes]], leaf: bytes) -> list[tuple[int, bytes]]:
    """`peaks` (size and root of each complete subtree, largest first) after one more leaf."""
    grown = [*peaks, (1, leaf)]
    while len(grown) > 1 and grown[-1][0] == grown[-2][0]:
        size, right = grown.pop()
        _, left = grown.pop()
        grown.append((2 * size, node_hash(left, right)))
    return grown


def root_of(peaks: Sequence[tuple[int, bytes]]) -> bytes:
    if not peaks:
        return EMPTY_ROOT
    found = peaks[-1][1]
    for _, peak in reversed(peaks[:-1]):
        found = node_hash(peak, found)
    return found


class Tree:
    """One log's leaf hashes, for many proofs: each subtree is hashed once."""

    def __init__(self, leaves: Sequence[bytes]) -> None:
        self._leaves = leaves
        self._known: dict[tuple[int, int], bytes] = {}

    def root(self, start: int = 0, end: int | None = None) -> bytes:
        """The root over the leaves from `start` to before `end`."""
        end = len(self._leaves) if end is None else end
        if end == start:
            return EMPTY_ROOT
        if end - start == 1:
            return self._leaves[start]
        found = self._known.get((start, end))
        if found is None:
            cut = start + _split(end - start)
            found = self._known[start, end] = node_hash(self.root(start, cut), self.root(cut, end))
        return found

    def inclusion(self, index: int) -> list[bytes]:
        """What `inclusion_proof` gives for `index`."""
        if not 0 <= index < len(self._leaves):
            raise IndexError(f"index: given {index}, accepted 0 to {len(self._leaves) - 1}")
        path, start, end = [], 0, len(self._leaves)
        while end - start > 1:
            cut = start + _split(end - start)
            if index < cut:
                path.append(self.root(cut, end))
                end = cut
            else:
                path.append(self.root(start, cut))
                start = cut
        return path[::-1]

    def consistency(self, old_size: int) -> list[bytes]:
        """What `consistency_proof` gives for `old_size`."""
        if not 0 < old_size <= len(self._leaves):
            raise ValueError(f"old_size: given {old_size}, accepted 1 to {len(self._leaves)}")
        path, start, end, whole = [], 0, len(self._leaves), True
        while old_size < end:
            cut = start + _split(end - start)
            if old_size <= cut:
                path.append(self.root(cut, end))
                end = cut
            else:
                path.append(self.root(start, cut))
                start, whole = cut, False
        return [*([] if whole else [self.root(start, end)]), *path[::-1]]


def inclusion_proof(leaves: Sequence[bytes], index: int) -> list[bytes]:
    """The neighbours from leaf `index` up to the root. Raises IndexError for a leaf that is not there."""
    if not 0 <= index < len(leaves):
        raise IndexError(f"index: given {index}, accepted 0 to {len(leaves) - 1}")
    if len(leaves) == 1:
        return []
    cut = _split(len(leaves))
    if index < cut:
        return [*inclusion_proof(leaves[:cut], index), root(leaves[cut:])]
    return [*inclusion_proof(leaves[cut:], index - cut), root(leaves[:cut])]


def verify_inclusion(leaf: bytes, index: int, size: int, proof: Sequence[bytes], expected_root: bytes) -> bool:
    """Whether `proof` shows that `leaf` is entry `index` of the `size` entries under the root (RFC 9162, 2.1.3.2)."""
    if not 0 <= index < size:
        return False
    place, last, found = index, size - 1, leaf
    for neighbour in proof:
        if last == 0:
            return False
        if place % 2 or place == last:
            found = node_hash(neighbour, found)
            while place % 2 == 0 and place:
                place, last = place >> 1, last >> 1
        else:
            found = node_hash(found, neighbour)
        place, last = place >> 1, last >> 1
    return last == 0 and found == expected_root


def consistency_proof(leaves: Sequence[bytes], old_size: int) -> list[bytes]:
    """Nodes from which both the root over the first `old_size` leaves and the root over all can be had."""
    if not 0 < old_size <= len(leaves):
        raise ValueError(f"old_size: given {old_size}, accepted 1 to {len(leaves)}")
    return _subproof(leaves, old_size, whole=True)


def _subproof(leaves: Sequence[bytes], old_size: int, *, whole: bool) -> list[bytes]:
    if old_size == len(leaves):
        return [] if whole else [root(leaves)]
    cut = _split(len(leaves))
    if old_size <= cut:
        return [*_subproof(leaves[:cut], old_size, whole=whole), root(leaves[cut:])]
    return [*_subproof(leaves[cut:], old_size - cut, whole=False), root(leaves[:cut])]


def verify_consistency(old_size: int, new_size: int, old_root: bytes, new_root: bytes, proof: Sequence[bytes]) -> bool:
    """Whether the log of `new_size` entries begins with the very log of `old_size` (RFC 9162, 2.1.4.2)."""
    if not 0 < old_size <= new_size:
        return False
    if old_size == new_size:
        return not proof and old_root == new_root
    path = list(proof)
    if old_size & (old_size - 1) == 0:  # a complete tree is its own first node
        path.insert(0, old_root)
    if not path:
        return False
    place, last = old_size - 1, new_size - 1
    while place % 2:
        place, last = place >> 1, last >> 1
    old_found = new_found = path[0]
    for neighbour in path[1:]:
        if last == 0:
            return False
        if place % 2 or place == last:
            old_found, new_found = node_hash(neighbour, old_found), node_hash(neighbour, new_found)
            while place % 2 == 0 and place:
                place, last = place >> 1, last >> 1
        else:
            new_found = node_hash(new_found, neighbour)
        place, last = place >> 1, last >> 1
    return last == 0 and old_found == old_root and new_found == new_root


if __name__ == "__main__":
    hashes = [leaf_hash(line.rstrip(b"\n")) for line in sys.stdin.buffer]
    print(len(hashes), root(hashes).hex())
