"""The maker's own pace from the record, and from it when a piece will be done."""
