//! segmenter
