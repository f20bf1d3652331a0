// What the live state of open moves weighs.
#pragma once

namespace chockwise::bench {

/// Bytes of resident memory per open move, with a spotter and four words each.
double BytesPerOpenMove(int moves);

}  // namespace chockwise::bench
